// Written by scripts/browser-types from the encoder's JSON Schemas. Do not edit.

export type Add = {
  what: string;
  at?: [number, number] | null;
  do: "add";
};

export type AddChannels = {
  channel?: string;
  do: "add channels";
};

export type Aged = {
  run: string;
  seat: string;
  since: string;
  until: string;
  level_db: number | null;
  distance_m: number | null;
  distortion_db: number | null;
  worth_telling: string[];
};

export type Aim = {
  yaw_deg: number;
  pitch_deg: number;
};

export type Aiming = {
  id: string;
  toe_in_deg: number;
  tilt_deg: number;
  straight_off_axis_deg: number;
  straight_db: (number | null)[];
  straight_fine: boolean | null;
};

export type Alignment = {
  aligned_to: string;
  channels: ChannelAligned[];
  settings: ChannelSetting[];
  seats: SeatGain[];
  predicted: Predicted[];
  polarity_gain_db: number | null;
  findings: Finding[];
};

export type AlignmentTold = {
  alignment: Alignment | null;
  refusal: string;
  leave: boolean;
  faults: FaultTold[];
  undecided: Undecided[];
  built: Built[];
  verified: Verified[];
  redo: Redo[];
  aged: Aged[];
  room: RoomFitted | null;
  noted_at: string;
  files: string[];
};

export type AmplifierChannel = {
  amplifier: string;
  terminal: string;
  channel: string;
  loudspeakers: string[];
  load_ohm: number;
  lowest_load_ohm: number | null;
  load: string;
  gives_w: number | null;
  needs_w: number | null;
  overloaded: boolean;
};

export type Append = {
  key: string;
  value: unknown;
  do: "append";
};

export type AtPlace = {
  id: string;
  level_db: number;
};

export type BandTold = {
  band_hz: number;
  level_db: number | null;
  noise_db: number | null;
};

export type Bass = {
  speed_of_sound_m_s: number;
  modes_hz: number[];
  findings: Finding[];
  modes: RoomMode[];
  schroeder_hz: number | null;
  volume_m3: number | null;
  spots: BassSpot[];
  map: Field | null;
  seat_map: Field | null;
  now: Now | null;
  best: SubwooferSet[];
  counts: Count[];
  tries: Try[];
  tones_hz: number[];
  curves: Curve[];
  crossovers: GroupCrossover[];
  moves: SeatMove[];
  doors: DoorOpen[];
  reach: Reach[];
  responses: RoomResponse[];
};

export type BassFitted = {
  size: number;
  absorption: number;
  off_before_db: number;
  off_after_db: number;
  kept_back_before_db: number | null;
  kept_back_after_db: number | null;
};

export type BassSpot = {
  at: [number, number, number];
  merit: number;
  uneven_db: number;
  spread_db: number;
  level_db: number;
  socket_m: number | null;
};

export type Block = {
  ref: string;
  kind: string;
  outline: [number, number][];
  base_m: number;
  top_m: number;
};

export type Box = {
  ref: string;
  kind: string;
  at: [number, number, number];
  size_m: [number, number, number];
  yaw_deg: number;
};

export type Brief = {
  code: string;
  severity: Severity;
  subject: string;
  message: string;
  at: [number, number, number] | null;
  key: string;
};

export type Built = {
  run: string;
  position: [number, number, number];
  planned: [number, number, number] | null;
  off_m: number | null;
  off_deg: number | null;
  half_axes_m: [number, number, number];
  axes: [[number, number, number], [number, number, number], [number, number, number]];
  residual_m: number;
  other: [number, number, number] | null;
};

export type CablePlan = {
  runs: Run[];
  cuts: Cut[];
  labels: Label[];
  needs: Need[];
  findings: Finding[];
  cost: Cost | null;
  bound: number | null;
  exact: boolean;
  covers: CoverUse[];
  terminals: TerminalUse[];
  tests: ColdTest[];
  readings: Reading[];
  terminations: Termination[];
  alternatives: seatfield__stages__cable__result__Alternative[];
  straight_m: number;
  polarity: string;
  one_size: string;
  bought: number | null;
  waste_m: number;
  in_wall: string[];
};

export type Candidate = {
  system: string;
  shorthand: string;
  feasible: boolean;
  score: number;
  loudspeakers: number;
  reasons: string[];
  flips: string[];
};

export type CannotDo = {
  runs: string[];
  why: string;
  ways_out: [string, string, string];
};

export type CeilingThing = {
  name: string;
  kind: CeilingThingKind;
  outline: [number, number][];
  drop_m: number;
  key: string;
};

export type CeilingThingKind = "lamp" | "beam" | "fan";

export type Chain = {
  services: ServiceSound[];
  topologies: Topology[];
  better_topology: string;
  lip_sync: LipSync[];
  proof: ProofLine[];
  findings: Finding[];
};

export type ChannelAligned = {
  channel: string;
  run: string;
  delay_ms: number;
  distance_m: number;
  trim_db: number;
  crossover_hz: number | null;
  inverted: boolean;
  filters: EqFilter[];
  remarks: string[];
};

export type ChannelLevel = {
  id: string;
  channel: string;
  distance_m: number;
  peak_db: number | null;
  watts_needed_w: number | null;
  limited_by: string;
  usual_db: number | null;
  room_db: number | null;
  off_axis_db: number | null;
  cable_loss_db: number | null;
  amplifier_db: number | null;
  loudspeaker_db: number | null;
};

export type ChannelNeed = {
  id: string;
  watts_w: number | null;
  lacks_db: number | null;
  limited_by: string;
};

export type ChannelSetting = {
  run: string;
  delay_s: number;
  trim_db: number;
  crossover_hz: number | null;
  inverted: boolean;
  filters: EqFilter[];
};

export type ChannelTaken = {
  channel: string;
  run: string;
  arrival_ms: number | null;
  arrival_from: string;
  distance_m: number | null;
  distance_from: string;
  polarity: string;
  polarity_confidence: number;
  polarity_reason: string;
  level_db: number | null;
  level_unit: string;
  snr_db: number | null;
  drift_ppm: number | null;
  decay_s: DecayTold[];
  distortion_db: DistortionTold[];
  bands: BandTold[];
  response_hz: number[];
  response_db: number[];
  reflections: ReflectionTold[];
  noise_db: number | null;
  hum_hz: number | null;
  hum_db: number | null;
  rattles: RattleTold[];
  troubles: Trouble[];
};

export type Closure = {
  misclosure_m: number;
  corrections_m: number[];
  again: string;
  redundancy: number;
};

export type ColdTest = {
  run: string;
  low_ohm: number | null;
  high_ohm: number | null;
  basis: string;
};

export type Command = Move | SlideWall | WallLength | SplitWall | Settle | Turn | Put | Write | Append | Add | AddChannels | Remove;

export type Comparison = {
  sentence: string;
  lines: Difference[];
  only_left: Finding[];
  only_right: Finding[];
  changes: string[];
};

export type Conductor = {
  name: string;
  material: string;
  loop_ohm: number;
  loss_db: number;
  share: number;
};

export type Cost = {
  total: number;
  cable: number;
  seen: number;
  exposed: number;
  raceway: number;
  bends: number;
  holes: number;
  thresholds: number;
  walkways: number;
  mains: number;
  labour: number;
};

export type Count = {
  subwoofers: number;
  merit: number;
  gain_db: [number, number, number] | null;
  pays: boolean;
};

export type Cover = {
  id: string;
  kind: CoverKind;
  outline: [number, number][];
  wall: number | null;
  from_m: number | null;
  to_m: number | null;
  height_m: number;
  inside_m: [number, number] | null;
  existing: boolean;
  key: string;
};

export type CoverKind = "rug" | "curtain" | "raceway" | "skirting gap" | "cavity" | "attic";

export type CoverUse = {
  what: string;
  cover: string;
  surface: string;
  path: [number, number, number][];
  length_m: number;
  runs: string[];
  fill: number;
  buy: boolean;
};

export type Curve = {
  which: string;
  seat: string;
  freq_hz: number[];
  level_db: number[];
  low_db: number[];
  high_db: number[];
};

export type Cut = {
  stock: string;
  conductor: string;
  spool_m: number | null;
  owned: boolean;
  price: number | null;
  pieces: Piece[];
  offcut_m: number;
  spare: string;
};

export type DecayFitted = {
  band_hz: number;
  expected_s: number;
  measured_s: number;
  expected_absorption: number;
  measured_absorption: number;
};

export type DecayTold = {
  band_hz: number;
  time_s: number | null;
  range_used: string;
  curvature_percent: number | null;
  remark: string;
};

export type Device = {
  name: string;
  outputs: number;
  inputs: number;
};

export type Diagonal = {
  between: [number, number];
  length_m: number;
};

export type Difference = {
  what: string;
  left: string;
  right: string;
  better: string;
};

export type DistortionTold = {
  band_hz: number;
  level_db: number | null;
  at_most_db: number;
};

export type DoorOpen = {
  opening: string;
  change_db: number;
  freq_hz: number;
};

export type EqFilter = {
  freq_hz: number;
  q: number;
  gain_db: number;
};

export type Face = {
  ref: string;
  start: [number, number];
  along: [number, number];
  inward: [number, number];
  profile: [number, number][];
  holes: [number, number][][];
};

export type Fairest = {
  channels: string[];
  places: Stead[];
  worst_seat: string;
  worst_before_deg: number;
  worst_after_deg: number;
  main_pays_deg: number;
};

export type Fault = {
  file: string;
  line: number;
  key: string;
  found: string;
  wanted: string;
  nearest: string;
};

export type FaultKind = "dead" | "swapped" | "wrong terminal" | "inverted" | "tweeter silent" | "high-resistance joint" | "full range by mistake" | "low-frequency channel off by 10 dB" | "subwoofer filter doubled";

export type FaultTold = {
  kind: FaultKind;
  runs: string[];
  confidence: number;
  message: string;
  advice: string;
};

export type Field = {
  what: string;
  unit: string;
  x_m: number[];
  y_m: number[];
  values: ((number | null)[])[];
};

export type Finding = {
  code: string;
  severity: Severity;
  subject: string;
  message: string;
  measured: number | null;
  limit: number | null;
  unit: string;
  source: string;
  advice: string;
  at: [number, number, number] | null;
  key: string;
  trace: Trace | null;
};

export type Finish = {
  name: string;
  freq_hz: number[];
  absorption: number[];
};

export type Following = {
  thing: Thing | null;
  tapes: LiveTape[];
  loudspeakers: Stands[];
  subwoofers: Stands[];
  findings: Brief[];
  stages: string[];
  words: string;
};

export type Furniture = {
  name: string;
  kind: string;
  outline: [number, number][];
  base_m: number;
  height_m: number;
  key: string;
};

export type GroupCrossover = {
  group: string;
  ids: string[];
  low_corner_hz: number | null;
  crossover_hz: number;
  merit: number;
  rivals: [number, number][];
  later_ms: number;
  inverted: boolean;
  sum_db: number;
  seats_db: AtPlace[];
};

export type Heard = {
  peak_db: number | null;
  level_db: number | null;
};

export type HeightOption = {
  channels: string[];
  method: string;
  places: Stead[];
  elevation_deg: number | null;
  deviation_deg: number | null;
  verdict: Verdict;
  possible: boolean;
  reasons: string[];
  bounce: [number, number, number] | null;
  tilt_deg: number | null;
};

export type Hidden = {
  kind: FaultKind;
  runs: string[];
};

export type Input = {
  name: string;
  value: number | string;
  unit: string;
};

export type Judged = {
  run: string;
  what: string;
  typed: number;
  expected: number | null;
  unit: string;
  verdict: string;
  message: string;
};

export type JudgedTold = {
  judged: Judged[];
  refused: ValueRefused[];
};

export type Label = {
  run: string;
  end: string;
  text: string;
  far: string;
  notches: string;
};

export type Layout = {
  system: string;
  shorthand: string;
  standard: boolean;
  loudspeakers: Placed[];
  marks: Mark[];
  findings: Finding[];
  subwoofers: Placed[];
  candidates: Candidate[];
  alternatives: seatfield__stages__layout__result__Alternative[];
  seats: SeatView[];
  fairest: Fairest[];
  heights: HeightOption[];
  aiming: Aiming[];
  reflections: Reflection[];
  screen: ScreenView | null;
  sought: Sought | null;
};

export type Leg = {
  surface: string;
  path: [number, number, number][];
  length_m: number;
  hidden: boolean;
  overhead: boolean;
  cover: string;
};

export type Level = {
  wish_peak_db: number;
  seats: SeatLevel[];
  findings: Finding[];
  wish_usual_db: number;
  wishes: WishLevel[];
  amplifier_channels: AmplifierChannel[];
  room: RoomSound | null;
};

export type LipSync = {
  service: string;
  device: string;
  sound_s: number;
  picture_s: number;
  early_s: number;
  who: string;
};

export type LiveTape = {
  start: [number, number];
  end: [number, number];
  text: string;
  wall: string;
};

export type Loss = {
  where: string;
  kind: string;
  why: string;
  takes: string[];
  before: string;
  after: string;
};

export type Mark = {
  id: string;
  channel: string;
  height_m: number;
  tapes: Tape[];
  crossing_deg: number | null;
  wall: number | null;
  along_m: number | null;
  from_corner: string;
  note: string;
  off_m: number | null;
  check_from: string;
  check_m: number | null;
};

export type Mend = {
  what: string;
  effort: string;
  format: string;
  channels: number;
  objects: boolean;
  lossless: boolean;
  whole: boolean;
};

export type MicrophoneFile = {
  id: string;
  name: string;
  points: number;
  low_hz: number;
  high_hz: number;
  largest_db: number;
  troubles: string[];
};

export type Mount = "stand" | "shelf" | "wall" | "ceiling" | "upward";

export type Move = {
  key: string;
  to: [number, number];
  snap?: boolean;
  do: "move";
};

export type Need = {
  what: string;
  count: number;
  unit: string;
  price: number | null;
  why: string;
};

export type NeededSetting = {
  device: string;
  setting: string;
  value: string;
  otherwise: string;
};

export type Now = {
  ids: string[];
  merit: number;
  uneven_db: number;
  spread_db: number;
  level_db: number;
  allowed: boolean;
  why: string;
};

export type Opening = {
  id: string;
  kind: OpeningKind;
  wall: number;
  start_m: number;
  width_m: number;
  sill_m: number;
  height_m: number;
  hinge: string;
  opens: string;
  beyond: [number, number][];
  leak: boolean;
  curtain: boolean;
  key: string;
  swing_assumed: boolean;
};

export type OpeningKind = "door" | "window" | "archway";

export type Piece = {
  run: string;
  length_m: number;
};

export type Placed = {
  id: string;
  channel: string;
  plain_name: string;
  model: string;
  at: [number, number, number] | null;
  mount: Mount | null;
  azimuth_deg: number | null;
  elevation_deg: number | null;
  distance_m: number | null;
  deviation_deg: number | null;
  verdict: Verdict;
  placed: boolean;
  limit: string;
  source: string;
  verdicts: Verdict[];
  aim: Aim | null;
  bounce: [number, number, number] | null;
};

export type Plan = {
  survey: Survey;
  layout: Layout | null;
  terminals: TerminalMap | null;
  bass: Bass | null;
  cable: CablePlan | null;
  level: Level | null;
  chain: Chain | null;
};

export type Plane = {
  points: [[number, number, number], [number, number, number], [number, number, number]];
};

export type Practice = {
  takes: TakesTold;
  alignment: AlignmentTold;
  hidden: Hidden[];
};

export type Predicted = {
  run: string;
  position: [number, number, number];
  seat: string;
  freq_hz: number[];
  level_db: number[];
  spread_db: number[];
  arrival_s: number | null;
};

export type Progress = {
  revision: number;
  stage: string;
  trouble: string;
};

export type ProofLine = {
  service: string;
  device: string;
  expected: string;
  channels: number;
  objects: boolean;
  display_shows: string;
  settings: string[];
  tell_apart: string;
  facts: [string, string][];
};

export type Put = {
  key: string;
  x?: string | null;
  y?: string | null;
  width?: string | null;
  depth?: string | null;
  do: "put";
};

export type Radiator = {
  wall: number;
  from_m: number;
  to_m: number;
  key: string;
};

export type RattleTold = {
  low_hz: number;
  high_hz: number;
  level_db: number;
};

export type Reach = {
  id: string;
  freq_hz: number;
  level_db: number;
  low_db: number;
  high_db: number;
  wish_db: number;
};

export type Reading = {
  shows: string;
  means: string;
  do: string;
};

export type Redo = {
  changed: string;
  redo: string[];
};

export type Reflection = {
  id: string;
  channel: string;
  surface: string;
  at: [number, number, number];
  delay_ms: number;
  level_db: number | null;
  there: string;
  within_rule: boolean;
  off_axis_deg: number;
};

export type ReflectionTold = {
  delay_ms: number;
  detour_m: number;
  level_db: number;
};

export type Remove = {
  key: string;
  do: "remove";
};

export type Room = {
  floor: [number, number][];
  tape: TapeReadings | null;
  ceiling_m: number | null;
  ceiling_planes: Plane[];
  floor_finish: Finish;
  ceiling_finish: Finish;
  walls: Wall[];
  temperature_c: number;
  tolerance_m: number;
  openings: Opening[];
  furniture: Furniture[];
  covers: Cover[];
  sockets: Socket[];
  radiators: Radiator[];
  treatments: Treatment[];
  ceiling_things: CeilingThing[];
};

export type RoomFitted = {
  decays: DecayFitted[];
  bass: BassFitted | null;
};

export type RoomMode = {
  freq_hz: number;
  decay_s: number;
  kind: string;
  seats: AtPlace[];
  subwoofers: AtPlace[];
  does: string;
};

export type RoomResponse = {
  source: string;
  seat: string;
  freq_hz: number[];
  level_db: number[];
  low_db: number[];
  high_db: number[];
};

export type RoomSound = {
  freq_hz: number[];
  volume_m3: number;
  surface_m2: number;
  absorption_m2: number[];
  reverberation_s: number[];
  room_constant_m2: number[];
  critical_distance_m: number[];
  directivity_db: number[];
  assumed: string[];
  furnished_hz: number[];
};

export type Run = {
  id: string;
  channel: string;
  loudspeaker: string;
  amplifier: string;
  path: [number, number, number][];
  legs: Leg[];
  straight_m: number;
  routed_m: number;
  cut_m: number;
  conductor: string;
  loop_ohm: number | null;
  loss_db: number | null;
  weighed: Conductor[];
  kind: string;
  terminal: string;
  conductor_source: string;
  elsewhere: string;
  ripple_db: number | null;
  damping: number | null;
  half_decibel: string;
  enough: string;
  loop_in_place_ohm: number | null;
  flat: boolean;
};

export type ScreenView = {
  angle_deg: number;
  heights: number;
  distance_m: number;
  pixels_m: [number, number];
  centre_below_deg: number | null;
  centre_tilt_deg: number | null;
};

export type SeatBass = {
  freq_hz: number;
  demand_db: number;
  lfe_db: number;
  redirected_db: number | null;
  reach_db: number | null;
  low_db: number | null;
  high_db: number | null;
  room_db: number | null;
  shortfall_db: number | null;
};

export type SeatChannel = {
  id: string;
  channel: string;
  azimuth_deg: number;
  elevation_deg: number;
  distance_m: number;
  azimuth_error_deg: number;
  deviation_deg: number;
  arrival_ms: number;
  off_axis_deg: number | null;
  off_axis_db: (number | null)[];
};

export type SeatGain = {
  position: [number, number, number];
  seat: string;
  join_before_db: number | null;
  join_after_db: number | null;
  uneven_before_db: number;
  uneven_after_db: number;
  arrival_spread_ms: number | null;
  level_spread_db: number | null;
};

export type SeatLevel = {
  seat: string;
  channels: ChannelLevel[];
  bass: SeatBass[];
  hours_a_week: number | null;
};

export type SeatMove = {
  seat: string;
  gap_hz: number;
  gap_db: number;
  what: string;
  seats: string[];
  direction: string;
  by_m: number;
  fill_db: [number, number, number] | null;
  merit_before: number;
  merit_after: number;
};

export type SeatView = {
  seat: string;
  channels: SeatChannel[];
  spread_ms: number;
  worst: string;
};

export type ServiceSound = {
  service: string;
  device: string;
  path: string[];
  links: string[];
  offered: string;
  format: string;
  channels: number;
  rate_hz: number;
  bits: number;
  objects: boolean;
  lossless: boolean;
  rendered: number | null;
  settings: NeededSetting[];
  losses: Loss[];
  mends: Mend[];
  display_shows: string;
};

export type SetPlace = {
  at: [number, number, number];
  delay_ms: number;
  gain_db: number;
  inverted: boolean;
};

export type Settle = {
  do: "settle";
};

export type Severity = "stop" | "fix" | "note";

export type SinkTold = {
  formats: string[];
  speakers: string[];
  warnings: string[];
};

export type SlideWall = {
  wall: number;
  to: [number, number];
  snap?: boolean;
  do: "slide wall";
};

export type Socket = {
  wall: number;
  at_m: number;
  circuit: string;
  key: string;
};

export type Solid = {
  floor: [number, number][];
  ceiling: [number, number, number][];
  walls: Face[];
  blocks: Block[];
  boxes: Box[];
  ways: Way[];
  ears: [number, number, number][];
};

export type Sought = {
  merit: number | null;
  grid_merit_gain: number;
  gap: number;
  step_m: number;
  tried: number;
  claim: string;
  costs: [string, string, number][];
};

export type Sound = {
  devices: Device[];
  trouble: string;
};

export type SplitWall = {
  wall: number;
  at: [number, number];
  do: "split wall";
};

export type Stand = {
  step: string;
  about: string;
  missing: string;
  stops: number;
  mends: number;
};

export type Stands = {
  id: string;
  channel: string;
  azimuth_deg: number | null;
  elevation_deg: number | null;
  distance_m: number | null;
  deviation_deg: number | null;
  verdict: Verdict;
};

export type State = {
  revision: number;
  why: string;
  name: string;
  units: string;
  currency: string;
  read_only: boolean;
  can_undo: boolean;
  can_redo: boolean;
  faults: Fault[];
  things: Thing[];
  standing: Stand[];
  progress: Progress;
  whole: boolean;
  data: Record<string, unknown>;
  underlay: Underlay | null;
  reach: [number, number, number, number];
};

export type Stead = {
  channel: string;
  at: [number, number, number];
  mount: Mount;
  azimuth_deg: number;
  elevation_deg: number;
  distance_m: number;
  deviation_deg: number;
};

export type SubwooferSet = {
  subwoofers: SetPlace[];
  merit: number;
  margin: number | null;
  lead_db: [number, number] | null;
  over_now_db: [number, number, number] | null;
  misplaced: number;
  level_db: number;
  uneven_db: number;
  spread_db: number;
};

export type Survey = {
  room: Room;
  walls: WallFrame[];
  area_m2: number;
  volume_m3: number;
  corner_heights_m: number[];
  closure: Closure | null;
  sound: boolean;
  findings: Finding[];
  ceiling: [number, number, number][];
};

export type Sweep = {
  number: number;
  run: string;
  name: string;
  words: string;
  feed: string;
  column: number;
  columns: number;
  moved_to: string;
};

export type SweepSettings = {
  low_hz: number;
  high_hz: number;
  length_s: number;
  tail_s: number;
  level_db: number;
  rate_hz: number;
};

export type Sweeps = {
  before: string[];
  sweeps: Sweep[];
  chirps: string;
  seconds: number;
  rate_hz: number;
  settings: SweepSettings | null;
  chirps_from: string;
  choices: string[];
};

export type TakeRead = {
  id: string;
  at: string;
  position: [number, number, number];
  seat: string;
  state: TakeState;
  channels: ChannelTaken[];
};

export type TakeState = "bare" | "as used";

export type TakesTold = {
  takes: TakeRead[];
  faults: FaultTold[];
  undecided: Undecided[];
  findings: Finding[];
  refused: string;
};

export type Tape = {
  corner: string;
  at: [number, number];
  distance_m: number;
};

export type TapeReadings = {
  walls_m: number[];
  diagonals: Diagonal[];
};

export type TerminalMap = {
  uses: TerminalUse[];
  spare: [string, string][];
  cannot: CannotDo[];
  findings: Finding[];
};

export type TerminalUse = {
  run: string;
  channel: string;
  amplifier: string;
  terminal: string;
  pre_out: string;
  loudspeaker: string;
};

export type Termination = {
  run: string;
  end: string;
  terminal: string;
  how: string;
  strip_m: number;
  note: string;
  connector: string;
  for_both: boolean;
  assumed: boolean;
};

export type Thing = {
  key: string;
  ref: string;
  kind: string;
  name: string;
  step: string;
  at: [number, number];
  placed: boolean;
  outline: [number, number][];
  outline_in_file: boolean;
  width_m: number;
  about: string;
  number: number | null;
  box: string[];
};

export type Topology = {
  name: string;
  services: TopologySound[];
  whole: number;
};

export type TopologySound = {
  service: string;
  device: string;
  format: string;
  channels: number;
  objects: boolean;
  lossless: boolean;
};

export type Trace = {
  formula: string;
  inputs: Input[];
};

export type Treatment = {
  name: string;
  finish: Finish;
  outline: [number, number][];
  wall: number | null;
  from_m: number | null;
  to_m: number | null;
  sill_m: number;
  height_m: number;
  key: string;
};

export type Trouble = {
  kind: string;
  message: string;
  stops: boolean;
  measured: number;
  limit: number;
  unit: string;
  at_s: number | null;
};

export type Try = {
  number: number;
  marks: Mark[];
  places: [number, number, number][];
  merit: number;
  misplaced: number;
  now: boolean;
};

export type Turn = {
  key: string;
  do: "turn";
};

export type Undecided = {
  kinds: FaultKind[];
  runs: string[];
  message: string;
  do: string;
};

export type Underlay = {
  file: string;
  points: [[number, number], [number, number]];
  length_m: number;
};

export type ValueRefused = {
  line: number;
  run: string;
  what: string;
  message: string;
};

export type Verdict = "good" | "usable" | "poor" | "not possible";

export type Verified = {
  run: string;
  seat: string;
  position: [number, number, number];
  off_db: number;
  worst_db: number;
  worst_hz: number;
  arrival_off_ms: number | null;
  verdict: string;
};

export type Waiting = {
  id: string;
  name: string;
  seconds: number;
  channels: number;
  rate_hz: number;
  peak_db: number | null;
  troubles: string[];
};

export type Wall = {
  number: number;
  finish: Finish;
  build: WallBuild | null;
  stud_spacing_m: number | null;
  first_stud_m: number | null;
  services: [number, number][];
};

export type WallBuild = "masonry" | "stud" | "panel";

export type WallFrame = {
  wall: Wall;
  start: [number, number];
  end: [number, number];
  length_m: number;
  along: [number, number];
  inward: [number, number];
};

export type WallLength = {
  wall: number;
  length: string;
  do: "wall length";
};

export type Way = {
  ref: string;
  path: [number, number, number][];
  hidden: boolean;
};

export type WishLevel = {
  wish: string;
  usual_db: number;
  peak_db: number;
  channels: ChannelNeed[];
  hours_a_week: number;
  film_share: number;
};

export type WorkStep = {
  what: string;
  detail: string;
};

export type Write = {
  key: string;
  value?: unknown;
  do: "write";
};

export type seatfield__stages__cable__result__Alternative = {
  name: string;
  cost: number;
  cable_m: number;
  seen_m: number;
  raceway_m: number;
  holes: number;
  walkways: number;
  hours: number;
  bought: number | null;
  routes: [string, [number, number, number][]][];
};

export type seatfield__stages__layout__result__Alternative = {
  channels: string[];
  places: Stead[];
  merit_loss: number;
  degrees: number;
  decibels: number;
  cable_m: number;
  holes: number;
};
