// Where the room lies on the screen: metres to pixels and back, and the scale that keeps letters their size.

export type Spot = [number, number];
export type View = { width: number; height: number; centre: Spot; pxPerM: number };

const NARROW_PX = 600;
/** Pixels for a millimetre of paper: 8 pt letters come to 13 px, and to 12 px where the view is narrow. */
export const pxPerMm = (view: { width: number }): number => (view.width < NARROW_PX ? 4.2 : 4.7);
/** Beside and above the walls, for their measures, and where there is room for them the bearings. */
export const aroundPx = (width: number): Spot => {
  const px = pxPerMm({ width });
  return width < NARROW_PX ? [12.5 * px, 18 * px] : [19.2 * px, 19.2 * px];
};

export const scaleOf = (view: View): number => Math.min(1000, Math.max(5, (1000 * pxPerMm(view)) / view.pxPerM));

export const toPx = (view: View, [x, y]: Spot): Spot => [
  view.width / 2 + (x - view.centre[0]) * view.pxPerM,
  view.height / 2 - (y - view.centre[1]) * view.pxPerM,
];

export const toM = (view: View, [x, y]: Spot): Spot => [
  view.centre[0] + (x - view.width / 2) / view.pxPerM,
  view.centre[1] - (y - view.height / 2) / view.pxPerM,
];

/** The view that shows all of a box in metres (left, low, right, high), with room for the measures around it. */
export function fitted(box: readonly [number, number, number, number], width: number, height: number): View {
  const [left, low, right, high] = box;
  const [beside, above] = aroundPx(width);
  const pxPerM = Math.max(20, Math.min((width - 2 * beside) / (right - left), (height - 2 * above) / (high - low)));
  return { width, height, centre: [(left + right) / 2, (low + high) / 2], pxPerM };
}

/** Zoom by a factor about a point of the screen, which stays where it is. */
export function zoomed(view: View, factor: number, about: Spot): View {
  const pxPerM = Math.min(3000, Math.max(15, view.pxPerM * factor));
  const [x, y] = toM(view, about);
  const real = pxPerM / view.pxPerM;
  return {
    ...view,
    pxPerM,
    centre: [x + (view.centre[0] - x) / real, y + (view.centre[1] - y) / real],
  };
}

export const panned = (view: View, dx: number, dy: number): View => ({
  ...view,
  centre: [view.centre[0] - dx / view.pxPerM, view.centre[1] + dy / view.pxPerM],
});
