// The room in the round with three.js: walls seen through from outside, blocks, boxes and runs, in the sheet's own ink.
import {
  AmbientLight,
  BackSide,
  DoubleSide,
  FrontSide,
  BoxGeometry,
  BufferGeometry,
  DirectionalLight,
  EdgesGeometry,
  ExtrudeGeometry,
  Float32BufferAttribute,
  Line,
  LineBasicMaterial,
  LineDashedMaterial,
  LineSegments,
  type Material,
  Matrix4,
  Mesh,
  MeshLambertMaterial,
  Object3D,
  PerspectiveCamera,
  Path,
  Scene,
  Shape,
  ShapeGeometry,
  SphereGeometry,
  Vector3,
  WebGLRenderer,
} from "three";

import type { Block, Box, Face, Solid } from "../api/types";

/** What is written beside a thing in the room; of two that would cover each other the earlier one stands. */
export type Name = { text: string; at: [number, number, number]; strong: boolean };
type Ink = { paper: string; ink: string; soft: string; faint: string; act: string };

export class Round {
  readonly #renderer = new WebGLRenderer({ antialias: true });
  readonly #camera = new PerspectiveCamera(40, 1, 0.1, 200);
  readonly #watching: ResizeObserver;
  #scene = new Scene();
  #middle = new Vector3();
  #azimuth = -Math.PI / 2.6;
  #height = 0.75;
  #far = 10;
  #wanted = 0;
  #fitted = false;
  #names: { at: Vector3; span: HTMLElement; size: [number, number] }[] = [];
  readonly #written = document.createElement("div");
  readonly #pointers = new Map<number, [number, number]>();

  constructor(private readonly frame: HTMLElement) {
    this.#camera.up.set(0, 0, 1);
    this.#written.className = "names";
    this.#written.ariaHidden = "true";
    frame.append(this.#renderer.domElement, this.#written);
    this.#watching = new ResizeObserver(() => this.#resize());
    this.#watching.observe(frame);
    this.#drag();
  }

  show(solid: Solid, names: readonly Name[]): void {
    const ink = inks();
    this.#free();
    this.#scene = new Scene();
    this.#renderer.setClearColor(ink.paper);
    this.#scene.add(new AmbientLight("#ffffff", 2.2), sun());
    this.#scene.add(floor(solid, ink));
    for (const face of solid.walls) this.#scene.add(wall(face, ink));
    for (const block of solid.blocks) this.#scene.add(blockOf(block, ink));
    for (const box of solid.boxes) this.#scene.add(boxOf(box, ink));
    for (const way of solid.ways) this.#scene.add(wayOf(way.path as [number, number, number][], way.hidden, ink));
    for (const ear of solid.ears) this.#scene.add(earOf(ear as [number, number, number], ink));
    if (!this.#fitted) this.#fit(solid);
    this.#write(names);
    this.draw();
  }

  #write(names: readonly Name[]): void {
    this.#written.replaceChildren();
    this.#names = names.map(({ text, at, strong }) => {
      const span = document.createElement(strong ? "b" : "span");
      span.textContent = text;
      this.#written.append(span);
      return { at: new Vector3(...at), span, size: [span.offsetWidth, span.offsetHeight] };
    });
  }

  /** Set every name beside its thing, as long as it covers no other. */
  #letter(): void {
    const { clientWidth, clientHeight } = this.frame;
    const taken: [number, number, number, number][] = [];
    for (const { at, span, size } of this.#names) {
      const spot = at.clone().project(this.#camera);
      const x = ((spot.x + 1) / 2) * clientWidth + 7;
      const y = ((1 - spot.y) / 2) * clientHeight - size[1];
      const inside = Math.abs(spot.z) < 1 && x > 0 && y > 0 && x + size[0] < clientWidth && y + size[1] < clientHeight;
      const free = taken.every(([x0, y0, x1, y1]) => x + size[0] < x0 || x > x1 || y + size[1] < y0 || y > y1);
      span.hidden = !inside || !free;
      if (span.hidden) continue;
      span.style.transform = `translate(${x}px, ${y}px)`;
      taken.push([x, y, x + size[0], y + size[1]]);
    }
  }

  turn(azimuth: number, height: number, far: number): void {
    this.#azimuth += azimuth;
    this.#height = Math.min(1.5, Math.max(0.05, this.#height + height));
    this.#far = Math.min(60, Math.max(1, this.#far * far));
    this.draw();
  }

  draw(): void {
    if (this.#wanted) return;
    this.#wanted = requestAnimationFrame(() => {
      this.#wanted = 0;
      const flat = Math.cos(this.#height) * this.#far;
      this.#camera.position.set(
        this.#middle.x + flat * Math.cos(this.#azimuth),
        this.#middle.y + flat * Math.sin(this.#azimuth),
        this.#middle.z + Math.sin(this.#height) * this.#far,
      );
      this.#camera.lookAt(this.#middle);
      this.#renderer.render(this.#scene, this.#camera);
      this.#letter();
    });
  }

  close(): void {
    cancelAnimationFrame(this.#wanted);
    this.#watching.disconnect();
    this.#free();
    this.#renderer.dispose();
    this.#renderer.domElement.remove();
    this.#written.remove();
  }

  #fit(solid: Solid): void {
    const xs = solid.floor.map(([x]) => x);
    const ys = solid.floor.map(([, y]) => y);
    const wide = Math.max(Math.max(...xs) - Math.min(...xs), Math.max(...ys) - Math.min(...ys));
    this.#middle.set((Math.max(...xs) + Math.min(...xs)) / 2, (Math.max(...ys) + Math.min(...ys)) / 2, 0.9);
    this.#far = wide * 2.3;
    this.#fitted = true;
  }

  #resize(): void {
    const { clientWidth, clientHeight } = this.frame;
    if (!clientWidth || !clientHeight) return;
    this.#renderer.setPixelRatio(Math.min(2, devicePixelRatio));
    this.#renderer.setSize(clientWidth, clientHeight);
    this.#camera.aspect = clientWidth / clientHeight;
    this.#camera.updateProjectionMatrix();
    this.draw();
  }

  #drag(): void {
    const canvas = this.#renderer.domElement;
    canvas.addEventListener("pointerdown", (event) => {
      canvas.setPointerCapture(event.pointerId);
      this.#pointers.set(event.pointerId, [event.clientX, event.clientY]);
    });
    canvas.addEventListener("pointermove", (event) => this.#moved(event));
    for (const ended of ["pointerup", "pointercancel"] as const)
      canvas.addEventListener(ended, (event) => this.#pointers.delete(event.pointerId));
    canvas.addEventListener(
      "wheel",
      (event) => {
        event.preventDefault();
        this.turn(0, 0, Math.exp(event.deltaY * 0.001));
      },
      { passive: false },
    );
  }

  /** One pointer turns the room; of two, the distance between them brings it closer. */
  #moved(event: PointerEvent): void {
    const before = this.#pointers.get(event.pointerId);
    if (!before) return;
    const now: [number, number] = [event.clientX, event.clientY];
    const other = [...this.#pointers].find(([id]) => id !== event.pointerId)?.[1];
    this.#pointers.set(event.pointerId, now);
    if (!other) return this.turn((before[0] - now[0]) * 0.008, (now[1] - before[1]) * 0.006, 1);
    const apart = (one: [number, number]): number => Math.max(10, Math.hypot(one[0] - other[0], one[1] - other[1]));
    this.turn(0, 0, apart(before) / apart(now));
  }

  #free(): void {
    this.#scene.traverse((one: Object3D) => {
      if (one instanceof Mesh || one instanceof Line) {
        (one.geometry as BufferGeometry).dispose();
        (one.material as Material).dispose();
      }
    });
  }
}

function inks(): Ink {
  const style = getComputedStyle(document.documentElement);
  const of = (role: string): string => style.getPropertyValue(`--${role}`).trim();
  return { paper: of("paper"), ink: of("ink"), soft: of("soft"), faint: of("faint"), act: of("act") };
}

function sun(): DirectionalLight {
  const light = new DirectionalLight("#ffffff", 1.1);
  light.position.set(3, -5, 9);
  return light;
}

function shapeOf(ring: readonly (readonly number[])[], holes: readonly (readonly (readonly number[])[])[] = []): Shape {
  const trace = <T extends Path>(path: T, points: readonly (readonly number[])[]): T => {
    points.forEach(([x, y], index) => (index ? path.lineTo(x!, y!) : path.moveTo(x!, y!)));
    path.closePath();
    return path;
  };
  const shape = trace(new Shape(), ring);
  shape.holes = holes.map((hole) => trace(new Path(), hole));
  return shape;
}

function floor(solid: Solid, ink: Ink): Object3D {
  const geometry = new ShapeGeometry(shapeOf(solid.floor));
  const mesh = new Mesh(geometry, new MeshLambertMaterial({ color: ink.paper, side: DoubleSide }));
  mesh.add(new LineSegments(new EdgesGeometry(geometry), new LineBasicMaterial({ color: ink.ink })));
  return mesh;
}

/** A wall seen from inside; from outside only its edges show, so that one can look in. */
function wall(face: Face, ink: Ink): Object3D {
  const geometry = new ShapeGeometry(shapeOf(face.profile, face.holes));
  const leftHanded = face.along[0] * face.inward[1] - face.along[1] * face.inward[0] > 0;
  const matrix = new Matrix4().makeBasis(
    new Vector3(face.along[0], face.along[1], 0),
    new Vector3(0, 0, 1),
    new Vector3(face.along[1], -face.along[0], 0),
  );
  matrix.setPosition(face.start[0], face.start[1], 0);
  geometry.applyMatrix4(matrix);
  const side = leftHanded ? BackSide : FrontSide;
  const mesh = new Mesh(geometry, new MeshLambertMaterial({ color: ink.faint, side, transparent: true, opacity: 0.55 }));
  mesh.add(new LineSegments(new EdgesGeometry(geometry), new LineBasicMaterial({ color: ink.ink })));
  return mesh;
}

function blockOf(block: Block, ink: Ink): Object3D {
  const depth = Math.max(0.004, block.top_m - block.base_m);
  const geometry = new ExtrudeGeometry(shapeOf(block.outline), { depth, bevelEnabled: false });
  geometry.translate(0, 0, block.base_m);
  return solidOf(geometry, ink.paper, block.kind === "furniture" ? ink.soft : ink.faint);
}

function boxOf(box: Box, ink: Ink): Object3D {
  const [width, depth, height] = box.size_m;
  const one = solidOf(new BoxGeometry(depth, width, height), box.kind === "screen" ? ink.faint : ink.paper, ink.ink);
  one.rotation.z = (box.yaw_deg * Math.PI) / 180;
  one.position.set(...box.at);
  return one;
}

function solidOf(geometry: BufferGeometry, fill: string, edge: string): Object3D {
  const mesh = new Mesh(geometry, new MeshLambertMaterial({ color: fill }));
  mesh.add(new LineSegments(new EdgesGeometry(geometry), new LineBasicMaterial({ color: edge })));
  return mesh;
}

function wayOf(path: [number, number, number][], hidden: boolean, ink: Ink): Object3D {
  const geometry = new BufferGeometry();
  geometry.setAttribute("position", new Float32BufferAttribute(path.flat(), 3));
  const line = new Line(
    geometry,
    hidden ? new LineDashedMaterial({ color: ink.act, dashSize: 0.12, gapSize: 0.06 }) : new LineBasicMaterial({ color: ink.act }),
  );
  line.computeLineDistances();
  return line;
}

function earOf(at: [number, number, number], ink: Ink): Object3D {
  const mesh = new Mesh(new SphereGeometry(0.09, 16, 12), new MeshLambertMaterial({ color: ink.act }));
  mesh.position.set(...at);
  return mesh;
}
