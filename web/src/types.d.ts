// Made by scripts/web_types.py from the program's answers; a test says when it is stale.

export type Vec3 = [number, number, number];

/** One thing to do. */
export interface Action {
  head: string;
  words: string;
  why: string;
  judge: "by the book" | "own check";
  verdict: "fail" | "looks broken" | "look at" | "cannot tell" | "looks kept" | "pass" | "does not apply";
  said: string;
  level: "fail" | "look at" | "cannot tell" | "fine";
  tubes: string[];
  findings: string[];
}

/** The cage of an alternative, to lay over the plan's, and the tubes that are not as planned. */
export interface AlternativeCage {
  name: string;
  scene: Scene;
  changed: string[];
}

/** One alternative: its letter, mass and cost, what each push did in order, what else to decide by. */
export interface AlternativeRow {
  letter: string;
  name: string;
  note: string;
  problems: string[];
  mass: Compared;
  cost: Compared;
  pushes: PushedRow[];
  summary: SummaryRow[];
}

/** Alternatives side by side, the plan as it is first. */
export interface AlternativesAnswer {
  headline: string;
  level: "fail" | "look at" | "cannot tell" | "fine";
  cautions: string[];
  title: string;
  question: string;
  plan: string;
  revision: string;
  assumed: Record<string, string>;
  heads: Record<string, string>;
  pushes: ComparedPush[];
  rows: AlternativeRow[];
  tables: Table[];
  notes: string[];
  summary: Table | null;
}

/** How far two picks are apart, middle to middle and outside to outside; `step` is back, across, up. */
export interface Apart {
  axis: Span;
  skin: Span;
  step: Vec3;
  words: string;
}

/** An end that meets something only in the car. */
export interface BenchEndRow {
  end: string;
  words: string;
  gap: Value;
  aside: Value;
  said: string;
  level: "fail" | "look at" | "cannot tell" | "fine";
}

/** What to join on the bench, for a page. */
export interface BenchFirstShown {
  headline: string;
  level: "fail" | "look at" | "cannot tell" | "fine";
  cautions: string[];
  tubes: string[];
  said: boolean;
  opening: string;
  worth: Value;
  most: Value;
  tried: number;
  work: BenchWorkAnswer | null;
  passage: PassageAnswer | null;
  larger: Sentence[];
  write: string;
  write_words: string;
  units: "mm" | "in" | "decimal in";
  pictures: string[];
  revision: string;
}

/** One weld between tubes of the bench work. */
export interface BenchWeldRow {
  joint: string;
  done: "welded" | "tacked";
  why: string;
  begin: string;
  length: Value;
  bench: Value;
  car: Value;
}

/** What is done on the bench. */
export interface BenchWorkAnswer {
  headline: string;
  level: "fail" | "look at" | "cannot tell" | "fine";
  cautions: string[];
  tubes: string[];
  welds: BenchWeldRow[];
  lies: LieRow[];
  ends: BenchEndRow[];
  notes: string[];
  rests_on: string[];
  tables: Table[];
  units: "mm" | "in" | "decimal in";
}

/** The line that a bend turns about, through the middle of its arc, mm. */
export interface BendAxis {
  words: string;
  start: Vec3;
  stop: Vec3;
}

/** One rule book. */
export interface BookRow {
  id: string;
  title: string;
  edition: string;
  rows: number | null;
  note: string;
}

/** The rule books that a plan can name. */
export interface BooksAnswer {
  headline: string;
  level: "fail" | "look at" | "cannot tell" | "fine";
  cautions: string[];
  books: BookRow[];
}

/** A boxed foot that carries an inboard tube on the support of the wide one. */
export interface Bridge {
  size: Vec3;
  sheet: number;
  blank: [number, number];
}

/** Tube to buy. */
export interface Buying {
  headline: string;
  level: "fail" | "look at" | "cannot tell" | "fine";
  cautions: string[];
  revision: string;
  rests_on: "estimate" | "cutting plan";
  bars: number | null;
  price: Value;
  change: Value | null;
  tubes: TubeToBuy[];
}

/** What there is to choose from. */
export interface CageChoices {
  roles: RoleChoice[];
  tubes: TubeChoice[];
  sold: SoldSize[];
  dies: DieChoice[];
  steels: string[];
  names: TakenNames;
}

/** Pieces by the views' key, welds by the weld map, and every bend's axis. */
export interface CageNumbers {
  pieces: Numbered[];
  welds: Numbered[];
  bends: BendAxis[];
}

/** One move of the way in. */
export interface CarryMove {
  number: number;
  words: string;
  room: Value | null;
  said: string;
  pose: number[];
}

/** How one reading fits. */
export interface CheckRow {
  reading: string;
  residual: Value;
  score: number;
  checked: number;
  words: string;
}

/** A stretch over which the load climbs anew, and what takes it, in words. */
export interface ClimbRow {
  start: Value;
  stop: Value;
  low: Value;
  high: Value;
  words: string;
}

/** A table column: heading, unit (empty where there is none) and where it aligns. */
export interface Column {
  head: string;
  unit: string;
  align: "left" | "right";
}

/** One figure of one alternative beside the plan's. */
export interface Compared {
  key: string;
  value: Value;
  change: Value | null;
  said: string;
  told: "" | "difference" | "no difference" | "cannot tell";
  why: string;
}

/** The load over travel of one alternative; `cut_short` where its push stalled. */
export interface ComparedCurve {
  curve: LoadCurve;
  cut_short: boolean;
}

/** A push of the comparison, and the least difference of each figure that the model can tell. */
export interface ComparedPush {
  name: string;
  title: string;
  same: Value;
  caption: string;
  ranking: Ranked[];
  ranking_table: Table | null;
  resolution: Record<string, Value>;
}

/** Where a push stops being counted, and its load and energy there. */
export interface CountedTo {
  kind: "first touch" | "first tear" | "first rupture" | "cannot tell" | "end of travel";
  words: string;
  travel: Value;
  load: Value;
  energy: Value;
}

/** What a signature stands for, and what it does not. */
export interface CoveredAnswer {
  headline: string;
  level: "fail" | "look at" | "cannot tell" | "fine";
  cautions: string[];
  covers: string[];
  leaves: string[];
  kept: string[];
  lines: number;
}

/** A point of the curve with words beside it: the largest load, a steel's limit, where the count stops. */
export interface CurveMark {
  kind: "peak" | "strain" | "counted";
  travel: number;
  words: string;
}

/** What turns one scene into another. */
export interface Delta {
  number: number;
  revision: string | null;
  members: SceneMember[];
  gone: string[];
  order: string[] | null;
  rest: Partial<Scene>;
}

/** A die of the shop: its name, what tube it takes and the centreline radius it bends to, mm. */
export interface DieChoice {
  name: string;
  od: number;
  clr: number;
}

/** A tube of the plan that holds two others apart while they are tacked. */
export interface DistanceRow {
  tube: string;
  between: [string, string];
  length: Value;
  own: boolean;
  until: number;
  words: string;
}

/** A first plan laid out. */
export interface DraftAnswer {
  headline: string;
  level: "fail" | "look at" | "cannot tell" | "fine";
  cautions: string[];
  members: number;
  not_done: Sentence[];
  judged: Sentence[];
  left: Sentence[];
  doubts: Sentence[];
  from_scan: string[];
}

/** One figure over everybody who sits there, in every hole and place of the seat. */
export interface DriverRow {
  what: string;
  low: Value;
  low_who: string;
  high: Value;
  high_who: string;
  limit: string;
  margin: Value | null;
  level: "fail" | "look at" | "cannot tell" | "fine";
}

/** How one seat stands over everybody who sits in it. */
export interface DriversAnswer {
  headline: string;
  level: "fail" | "look at" | "cannot tell" | "fine";
  cautions: string[];
  person: string;
  people: string[];
  postures: number;
  rows: DriverRow[];
  holes: HoleRow[];
  tabs: TabRow[];
  sit: SitRow[];
  tables: Table[];
  units: "mm" | "in" | "decimal in";
}

/** A drop that was run. */
export interface DropShown {
  headline: string;
  level: "fail" | "look at" | "cannot tell" | "fine";
  cautions: string[];
  title: string;
  revision: string;
  how: Sentence;
  reached: boolean;
  end: Sentence;
  figures: PushFigure[];
  energy: EnergyLine[];
  curve: LoadCurve;
  happened: Happened[];
  joints_words: string;
  still: Sentence;
  tables: Table[];
  notes: string[];
  pictures: string[];
  asked: Record<string, string>;
  when: string;
}

/** What an edit, or a trial of one, changed. */
export interface EditAnswer {
  state: PlanState;
  words: string | null;
  changed: Delta | null;
  figures: Figures | null;
  findings: FindingsAnswer | null;
  unjudged: Problem[];
  blemishes: Problem[];
  unseen: string;
}

/** How one end of a tube stands. */
export interface EndRow {
  member: string;
  mark: string;
  end: string;
  stands: "in place" | "out" | "cannot tell";
  off: [Value, Value, Value];
  words: string;
}

/** Where a part of the energy came from or went: J, and its share of all there was to be spent. */
export interface EnergyLine {
  label: string;
  value: Value;
  share: Value;
}

/** One thing that can be chosen: what the file says for it, and its words. */
export interface FieldChoice {
  value: string;
  words: string;
}

/** What each figure is more than before; None where it is as before or cannot be compared. */
export interface FigureChanges {
  mass: Value | null;
  run: Value | null;
  helmet: Value | null;
  person: Value | null;
  body: Value | null;
  members: number;
  bends: number;
  copes: number;
  feet: number;
  gussets: number;
}

/** The figures of a cage. */
export interface Figures {
  mass: Value;
  run: Value;
  members: number;
  bends: number;
  copes: number;
  feet: number;
  gussets: number;
  buy: Buying;
  gaps: GapFigures | null;
  changes: FigureChanges | null;
}

/** How many findings of one judge are called so. */
export interface FindingCount {
  judge: "by the book" | "own check";
  verdict: "fail" | "looks broken" | "look at" | "cannot tell" | "looks kept" | "pass" | "does not apply";
  said: string;
  number: number;
}

/** Where a finding is. */
export interface FindingPlace {
  words: string;
  members: string[];
  feet: string[];
  joints: string[];
  tubes: string[];
  point: Vec3 | null;
}

/** One verdict of one rule or check, as it is read. */
export interface FindingRow {
  id: string;
  judge: "by the book" | "own check";
  verdict: "fail" | "looks broken" | "look at" | "cannot tell" | "looks kept" | "pass" | "does not apply";
  said: string;
  book: string;
  edition: string;
  rule: string;
  clause: string;
  source: string;
  title: string;
  measured: Value | null;
  limit: string;
  where: FindingPlace;
  known: "read" | "restated" | "restated once" | "remembered" | "computed" | "shop";
  how_known: string;
  why: string;
  advice: string;
  words: string;
}

/** What the rule books and our own checks find; the headline is the stamp of every paper. */
export interface FindingsAnswer {
  headline: string;
  level: "fail" | "look at" | "cannot tell" | "fine";
  cautions: string[];
  title: string;
  revision: string;
  books: string[];
  counts: FindingCount[];
  actions: Action[];
  rest: string;
  padding: Padding | null;
  rows: FindingRow[];
  failed: boolean;
}

/** A foot's force against what the shell under it carries; `used` is None where it is called rigid. */
export interface FootRow {
  foot: string;
  push: Value;
  pull: Value;
  slide: Value;
  tilt: Value;
  used: Value | null;
  torn: Value | null;
  full_at: Value | null;
  governs: string;
  weld: Value | null;
}

/** A least gap: mm, below 0 where one is in the other; of which member, in words, and where. */
export interface GapFigure {
  gap: Value;
  said: string;
  member: string;
  words: string;
  point: Vec3;
}

/** The least gaps to a helmet, to the rest of a person, and to the body; None where there is none. */
export interface GapFigures {
  helmet: GapFigure | null;
  person: GapFigure | null;
  body: GapFigure | null;
}

/** How a joint has opened: its root gap and overlap, and what they ask for. */
export interface GapRow {
  joint: string;
  open: Value;
  overlap: Value;
  words: string;
}

/** An axis of a graph: its label, and how an inside figure is put on it (over `scale`, `places`). */
export interface GraphAxis {
  label: string;
  unit: string;
  scale: number;
  places: number;
}

/** What gave way or came to its strength; `number` counts what gives, as in the pictures, or is 0. */
export interface Happened {
  number: number;
  kind: "yield" | "hinge" | "foot" | "joint" | "strip" | "dent" | "strength";
  travel: Value;
  load: Value;
  words: string;
}

/** What stands open before an act that cannot be taken back; never that it may be done. */
export interface HoldAnswer {
  headline: string;
  level: "fail" | "look at" | "cannot tell" | "fine";
  cautions: string[];
  title: string;
  revision: string;
  act: "leave-bench" | "weld-solid" | "push-up" | "close" | "paint";
  before: string;
  lines: HoldLine[];
  unreached: string[];
  against: string;
  strange: string[];
}

/** One thing that has to be there before the act. */
export interface HoldLine {
  what: string;
  done: "tack" | "check" | "weld" | "read";
  words: string;
  line: number | null;
}

/** Which hole for whom, and how much room there is to the tightest limit all along the travel. */
export interface HoleRow {
  who: string;
  hole: number;
  said: string;
  level: "fail" | "look at" | "cannot tell" | "fine";
}

/** One clause, looked at on the car. */
export interface InspectedRow {
  rule: string;
  clause: string;
  title: string;
  what: string;
  tool: string;
  limit: string;
  wanted: string;
  asks: "yes or no" | "size" | "figure";
  unit: string;
  planned: string;
  reading: string;
  verdict: string;
  why: string;
  by: string;
  taken: string;
  line: number;
}

/** An inspection; the headline says what is open. */
export interface InspectionAnswer {
  headline: string;
  level: "fail" | "look at" | "cannot tell" | "fine";
  cautions: string[];
  title: string;
  book: string;
  edition: string;
  revision: string;
  car: string;
  stations: Station[];
  open_rows: string[];
  open_points: string[];
}

/** Jobs of the record, in the order they were entered. */
export interface JobsAnswer {
  headline: string;
  level: "fail" | "look at" | "cannot tell" | "fine";
  cautions: string[];
  jobs: ShopJob[];
}

/** A joint's force against its strength; `full_at` is the push's load where it is used up. */
export interface JointRow {
  joint: string;
  words: string;
  used: Value;
  full_at: Value | null;
  governs: string;
  axial: Value;
  in_plane: Value;
  out_of_plane: Value;
  weld: Value | null;
  outside: string[];
}

/** What one way of modelling the joints answers; `counts` is the worst of them, the push's own figures. */
export interface JointWay {
  words: string;
  counts: boolean;
  why: string;
  travel: Value;
  energy: Value;
  load: Value;
}

/** A push that the cage can be given. */
export interface KnownPush {
  name: string;
  title: string;
  kind: string;
  travel: Value;
  source: string;
  certainty: string;
  own: boolean;
  usual: boolean;
  wants: string[];
}

/** One way the work lies on the bench, and how much more weld is made in PA or PB so. */
export interface LieRow {
  words: string;
  length: Value;
}

/** A line that was kept. */
export interface LineAnswer {
  headline: string;
  level: "fail" | "look at" | "cannot tell" | "fine";
  cautions: string[];
  entry: RecordEntry;
  wrong: string[];
  says: string;
  also: string;
}

/** Load over travel: mm and N, each with its axis. */
export interface LoadCurve {
  x: GraphAxis;
  y: GraphAxis;
  travel: number[];
  load: number[];
}

/** A load that a source wants; `reached` is None where that cannot be told. */
export interface LoadWanted {
  reached: boolean | null;
  words: string;
  source: string;
}

/** An alternative made: its name, what is noted of it, and the tubes it changes. */
export interface MadeAlternative {
  name: string;
  note: string;
  changed: string[];
}

/** A mark. */
export interface MarkRow {
  name: string;
  letter: string;
  said: string;
  member: string | null;
  along: Value | null;
  face: string;
  what: string;
  point: Vec3;
  place: string;
}

/** A point of the car that the readings give. */
export interface MeasuredPoint {
  name: string;
  shown: string;
  at: Vec3;
  said: [Value, Value, Value];
  mirrored: boolean;
}

/** Everything the shop is told of one member but its bend sheet and wraps. */
export interface MemberSheet {
  name: string;
  shown: string;
  bends: number;
  tables: Table[];
}

/** The cage at many moments of a push. */
export interface Moments {
  travel: number[];
  load: number[];
  members: RestLine[];
  moved: number[][];
  use: number[][];
  room: RoomMoments | null;
  tool: ToolMoments | null;
}

/** What to read on the next car of a kind, and what that says. */
export interface NextCarAnswer {
  headline: string;
  level: "fail" | "look at" | "cannot tell" | "fine";
  cautions: string[];
  verdict: string;
  readings: NextReading[];
  found: Sentence[];
  read_these: string[];
  finds: Sentence[];
  alike: Value;
  tables: Table[];
  units: "mm" | "in" | "decimal in";
}

/** One reading to take on the next car. */
export interface NextReading {
  reading: string;
  part: string;
  title: string;
  hold: string;
  expected: Value;
  read: Value | null;
  off: Value | null;
}

/** A piece or a weld: its number, what it is, and where that is written, mm. */
export interface Numbered {
  number: number;
  words: string;
  point: Vec3;
}

/** One obstacle beside a wanted tube, and the ways round it; none of cutting where it is never cut. */
export interface ObstacleRow {
  member: string;
  what: string;
  depth: Value;
  ways: WayRow[];
  table: Table;
  level: "fail" | "look at" | "cannot tell" | "fine";
}

/** Every obstacle, and the ways round it pushed side by side where that was asked for. */
export interface ObstaclesAnswer {
  headline: string;
  level: "fail" | "look at" | "cannot tell" | "fine";
  cautions: string[];
  obstacles: ObstacleRow[];
  pushed: AlternativesAnswer[];
  notes: string[];
  units: "mm" | "in" | "decimal in";
}

/** The order of the build. */
export interface OrderAnswer {
  headline: string;
  level: "fail" | "look at" | "cannot tell" | "fine";
  cautions: string[];
  steps: StepRow[];
  broken: Sentence[];
  moves: Record<string, number>;
  openings: string[];
  units: "mm" | "in" | "decimal in";
  revision: string;
}

/** A reading that the others contradict: what it says, and what the others make of it. */
export interface OutlierRow {
  kind: string;
  a: string;
  b: string;
  says: Value;
  others: Value;
  words: string;
}

/** The shop's own factor by its readings: from how many ends, and how well they follow the model. */
export interface OwnFactor {
  factor: Value;
  ends: number;
  fits: number;
  words: string;
}

/** One stretch of padding. */
export interface PadRow {
  tube: string;
  shown: string;
  start: Value;
  stop: Value;
  reach: string;
  kind: string;
  asked: string;
  length: Value;
}

/** The padding list. */
export interface Padding {
  rows: PadRow[];
  total: Value;
  words: string;
}

/** How the bench's work goes in. */
export interface PassageAnswer {
  headline: string;
  level: "fail" | "look at" | "cannot tell" | "fine";
  cautions: string[];
  opening: string;
  members: string[];
  waits: string[];
  middle: Vec3;
  moves: CarryMove[];
  room: Value | null;
  counted: string;
}

/** A plan without opening it. */
export interface PlanCard {
  headline: string;
  level: "fail" | "look at" | "cannot tell" | "fine";
  cautions: string[];
  revision: string;
  members: number;
  problems: number;
}

/** An open plan as every page knows it. */
export interface PlanState {
  id: string;
  title: string;
  file: string;
  number: number;
  revision: string | null;
  units: "mm" | "in";
  undo: string | null;
  redo: string | null;
  saved: boolean;
  trouble: string | null;
  conflict: string | null;
  problems: Problem[];
  shown: boolean;
}

/** One mistake in what the builder wrote. */
export interface Problem {
  code: string;
  where: Where;
  found: string;
  wanted: string;
  nearest: string | null;
  point: Vec3 | null;
}

/** How many readings of a step are used, and the tick that ended it. */
export interface ProgressRow {
  read: number;
  done: TickRow | null;
}

/** What to pull. */
export interface PullAnswer {
  headline: string;
  level: "fail" | "look at" | "cannot tell" | "fine";
  cautions: string[];
  pulls: PullRow[];
  gaps: GapRow[];
  stretch: number;
  there: string[];
  step: number;
  units: "mm" | "in" | "decimal in";
  revision: string;
}

/** One end that is not in place. */
export interface PullRow {
  number: number;
  member: string;
  mark: string;
  end: string;
  stands: "in place" | "out" | "cannot tell";
  off: [Value, Value, Value];
  words: string;
  order: string;
  way: string;
  tape: string;
  settle: Wanted | null;
  takes: Takes | null;
  start: Vec3;
  stop: Vec3;
}

/** One figure of a push. */
export interface PushFigure {
  key: string;
  head: string;
  label: string;
  value: Value;
  words: string;
}

/** A push that was run, with its pictures. */
export interface PushShown {
  headline: string;
  level: "fail" | "look at" | "cannot tell" | "fine";
  cautions: string[];
  name: string;
  title: string;
  source: string;
  certainty: string;
  revision: string;
  assumed: Record<string, string>;
  counted: CountedTo;
  end: Sentence;
  figures: PushFigure[];
  joints_words: string;
  ways: JointWay[];
  room: string;
  left: RoomRow[];
  climbs: ClimbRow[];
  curve: LoadCurve;
  marks: CurveMark[];
  happened: Happened[];
  wanted: LoadWanted[];
  joints: JointRow[];
  feet: FootRow[];
  tubes: TubeRow[];
  tables: Table[];
  notes: string[];
  at: (TubePoint | null)[];
  moments: Moments;
  when: string;
}

/** One alternative under one push: its figures as far as it counts, and how it ended. */
export interface PushedRow {
  figures: Compared[];
  end: string;
  curve: ComparedCurve | null;
}

/** One alternative beside the plan over the draws. */
export interface Ranked {
  letter: string;
  name: string;
  verdict: "more" | "less" | "the same" | "a toss-up" | "cannot tell";
  words: string;
  draws: number;
  more: number;
  less: number;
  untold: number;
  further: number;
  most: number;
  middle: Value;
  spread: string;
}

/** One number of a reading. */
export interface ReadingField {
  value: string;
  label: string;
  text: string;
  unit: string;
  plausible: string;
  mm: number | null;
}

/** One thing to know about a survey. */
export interface ReadingNote {
  kind: "impossible" | "slip" | "range" | "missing" | "stood in" | "unchecked" | "uneven" | "scan";
  tag: string;
  level: "fail" | "look at" | "cannot tell" | "fine";
  reading: string;
  part: string;
  line: number | null;
  found: string;
  advice: string;
}

/** The side or station of a reading: its key, its name as read, and its numbers. */
export interface ReadingPart {
  part: string;
  side: string;
  fields: ReadingField[];
  from_scan: string;
}

/** One line of a job's history. */
export interface RecordEntry {
  id: number;
  uid: string;
  job_uid: string;
  revision_uid: string | null;
  corrects_uid: string | null;
  kind: "reading" | "photo" | "tick" | "sign-off" | "note" | "hours" | "inspection";
  step: string;
  subject: string;
  other: string;
  text: string;
  unit: string;
  sort: "" | "tape" | "level" | "lean" | "place";
  axis: "" | "back" | "across" | "up";
  value: number | null;
  used: boolean;
  why: string;
  note: string;
  by: string;
  taken: string;
  entered: string;
}

/** A photo, a note, hours or a signature. */
export interface RecordRow {
  uid: string;
  line: number;
  kind: string;
  about: string;
  said: string;
  note: string;
  by: string;
  taken: string;
  as_signed: boolean | null;
}

/** A tube's stations at rest, mm. */
export interface RestLine {
  name: string;
  points: Vec3[];
}

/** Where a dragged place comes to rest (mm), and how the plan would say it. */
export interface Resting {
  at: Vec3;
  kind: "coordinates" | "member";
  on: string | null;
  side: string | null;
  measure: string | null;
  value: number | null;
  words: string;
}

/** A role: how many members have it, its usual tube, and a name for one more. */
export interface RoleChoice {
  role: string;
  count: number;
  tube: string | null;
  name: string;
}

/** At each moment the least gap to anybody (mm), what is nearest, to whose part, the ends of the gap. */
export interface RoomMoments {
  gap: number[];
  by: string[];
  to: string[];
  spots: ([Vec3, Vec3] | null)[];
}

/** What is left to one part of a person; `counted` where it is touched while the push counts. */
export interface RoomRow {
  person: string;
  part: string;
  by: string;
  rest: Value;
  left: Value;
  touched: Value | null;
  counted: boolean;
  source: string;
}

/** The plan's scan, and how it stands in the car. */
export interface ScanAnswer {
  headline: string;
  level: "fail" | "look at" | "cannot tell" | "fine";
  cautions: string[];
  file: string;
  units: string;
  units_words: string;
  placed: boolean;
  placing: string;
  points: ScanPair[];
  wrong: string[];
  triangles: number | null;
  size: number[];
  size_words: string;
  notes: string[];
}

/** A point seen on the scan and measured on the car. */
export interface ScanPair {
  scan: number[];
  car: string | number[];
  off: Value | null;
}

/** The whole picture. */
export interface Scene {
  number: number;
  revision: string | null;
  title: string;
  units: "mm" | "in" | "decimal in";
  box: [Vec3, Vec3];
  members: SceneMember[];
  joints: SceneJoint[];
  feet: SceneFoot[];
  plates: ScenePlate[];
  gussets: SceneGusset[];
  couplings: SceneCoupling[];
  lines: SceneLine[];
  people: ScenePerson[];
  mounts: SceneMount[];
  scan: SceneScan | null;
  stale: boolean;
}

/** The helmet. */
export interface SceneBall {
  centre: Vec3;
  radius: number;
}

/** A bend of a member. */
export interface SceneBend {
  angle_deg: number;
  clr: number;
}

/** A coupling in a tube: what it is, where, its faces with each thickness. */
export interface SceneCoupling {
  name: string;
  member: string;
  kind: string;
  point: Vec3;
  faces: [Vec3[], number][];
}

/** The cut of an end: `cut` mm along `axis` from `origin`, evenly round from `zero`. */
export interface SceneEnd {
  which: "start" | "end";
  kind: "cope" | "flat";
  joint: string | null;
  foot: string | null;
  mains: string[];
  origin: Vec3;
  axis: Vec3;
  zero: Vec3;
  cut: number[];
}

/** A foot and its plate; `faces` are those behind its folds. */
export interface SceneFoot {
  name: string;
  point: Vec3;
  normal: Vec3;
  corners: Vec3[];
  plate: Vec3;
  thickness: number;
  seat: string;
  members: string[];
  bolted: boolean;
  faces: Vec3[][];
}

/** A gusset: the corners of its first face, and its other faces. */
export interface SceneGusset {
  name: string;
  between: string[];
  point: Vec3;
  leg: number;
  thickness: number;
  kind: string;
  corners: Vec3[];
  faces: Vec3[][];
}

/** Where a member's end meets others. */
export interface SceneJoint {
  name: string;
  branch: string;
  which: "start" | "end";
  mains: string[];
  point: Vec3;
}

/** A part of a seated body: what lies within `radius` of the line from `start` to `stop`. */
export interface SceneLimb {
  name: string;
  start: Vec3;
  stop: Vec3;
  radius: number;
}

/** A measured line of the body. */
export interface SceneLine {
  name: string;
  note: string;
  points: Vec3[];
}

/** A member; `title` is its name as it is read, `axis` its centre line. */
export interface SceneMember {
  name: string;
  title: string;
  role: string;
  tube: string;
  od: number;
  wall: number;
  steel: string;
  mass: number;
  length: number;
  mirror_of: string | null;
  removable: boolean;
  note: string;
  axis: Vec3[];
  ends: SceneEnd[];
  bends: SceneBend[];
  places: ScenePlace[];
}

/** A mount of the seat or of a belt. */
export interface SceneMount {
  name: string;
  point: Vec3;
  member: string | null;
  kind: "seat" | "belt";
}

/** Somebody in a seat: `driver` is the one who drives. */
export interface ScenePerson {
  name: string;
  helmet: SceneBall;
  body: SceneLimb[];
}

/** A place of a member's path: where it is, and how the plan says so. */
export interface ScenePlace {
  index: number;
  at: Vec3;
  kind: "coordinates" | "point" | "foot" | "member";
  on: string | null;
  side: string | null;
  foot: string | null;
  point: string | null;
  measure: string | null;
  value: number | null;
  clr: number | null;
}

/** A plate between members. */
export interface ScenePlate {
  name: string;
  corners: Vec3[];
  thickness: number;
}

/** Which scan stands behind the cage; its mesh is asked for at an address that changes as it moves. */
export interface SceneScan {
  file: string;
  triangles: number | null;
  url: string;
}

/** A sentence of an answer. */
export interface Sentence {
  words: string;
  level: "fail" | "look at" | "cannot tell" | "fine";
  about: string[];
}

/** How far off its place to tack an end that will be pulled: back, across and up, and in a sentence. */
export interface SetOff {
  mark: string;
  off: [Value, Value, Value];
  words: string;
}

/** A body's file that is about to be changed, and who follows it. */
export interface SharedBody {
  headline: string;
  level: "fail" | "look at" | "cannot tell" | "fine";
  cautions: string[];
  body: string;
  surveys: string[];
  plans: string[];
}

/** What of a shell's section a cut takes: shares left of area, bending both ways and torsion. */
export interface ShellLost {
  area: Value;
  bending: [Value, Value];
  torsion: Value;
  rests_on: string;
}

/** One job of the shop. */
export interface ShopJob {
  uid: string;
  name: string;
  customer: string;
  reference: string;
  title: string;
  units: "mm" | "in";
  by: string;
  entered: string;
}

/** What welding a step moves. */
export interface ShrinkAnswer {
  headline: string;
  level: "fail" | "look at" | "cannot tell" | "fine";
  cautions: string[];
  step: number;
  title: string;
  welds: WeldRow[];
  listed: Value;
  proposed: Value;
  set_off: SetOff[];
  feet: string[];
  factor: number;
  own: OwnFactor | null;
  rests_on: string[];
  notes: Sentence[];
  units: "mm" | "in" | "decimal in";
}

/** A reading to take with the driver in: whom, where, what is expected, and what stops the work. */
export interface SitRow {
  who: string;
  what: string;
  expected: Value;
  stop: string;
}

/** A size that can be had: `od` and `wall` in mm, and as it is ordered. */
export interface SizeOffer {
  od: number;
  wall: number;
  words: string;
}

/** A size (mm) and steel that the shop can buy, in words. */
export interface SoldSize {
  words: string;
  od: number;
  wall: number;
  steel: string;
}

/** How far two points of the picture are apart, mm; below 0 where what they stand on shares space. */
export interface Span {
  mm: number;
  a: Vec3;
  b: Vec3;
  words: string;
}

/** What one bend teaches its die: what was set and what came, as the shop file says it; in words. */
export interface SpringbackLine {
  die: string;
  bend: number;
  put: string;
  got: string;
  words: string;
}

/** Where everything is. */
export interface SquareAnswer {
  headline: string;
  level: "fail" | "look at" | "cannot tell" | "fine";
  cautions: string[];
  basis: Sentence;
  datum: string;
  within: Value;
  choices: Value[];
  unit_sigma: number;
  fits: boolean;
  loose: string[];
  outliers: OutlierRow[];
  not_used: Problem[];
  notes: Sentence[];
  ends: EndRow[];
  read_next: Wanted[];
  readings: CheckRow[];
  as_built: Sentence[];
  pushed: Sentence[];
}

/** A place of the walk round the car, and what is looked at there, in the book's own order. */
export interface Station {
  name: string;
  rows: InspectedRow[];
}

/** What to punch and to read at a step. */
export interface StepAnswer {
  headline: string;
  level: "fail" | "look at" | "cannot tell" | "fine";
  cautions: string[];
  step: StepRow;
  present: string[];
  held: string[];
  welded: string[];
  datum: string;
  marks: MarkRow[];
  mark_names: string[];
  readings: Wanted[] | null;
  more: Wanted[];
  sure: SureRow[];
  units: "mm" | "in" | "decimal in";
  revision: string;
}

/** What is kept beside the readings and ticks of a step. */
export interface StepRecord {
  headline: string;
  level: "fail" | "look at" | "cannot tell" | "fine";
  cautions: string[];
  rows: RecordRow[];
  hours: string;
  count: number;
}

/** One step of the build. */
export interface StepRow {
  number: number;
  title: string;
  where: "bench" | "car" | "slid" | "dropped";
  tack: string[];
  weld: string[];
  parts: string[];
  notes: string[];
  distance: DistanceRow[];
  slow: boolean;
}

/** Every alternatives file beside a plan, and what alternatives can be made and pushed with. */
export interface Studies {
  studies: StudyFile[];
  pushes: string[];
  usual: string;
  sizes: SizeOffer[];
  revision: string;
}

/** One alternative of a file, and what each of its changes does, where they can be made. */
export interface StudyAlternative {
  name: string;
  note: string;
  on_top_of: string;
  changes: string[];
}

/** One alternatives file beside a plan. */
export interface StudyFile {
  id: string;
  own: boolean;
  file: string;
  there: boolean;
  fits: boolean;
  problems: Problem[];
  title: string;
  question: string;
  as_planned: string;
  pushes: string[];
  alternatives: StudyAlternative[];
}

/** One figure of the summary; `key` is one of `HEADS`. */
export interface SummaryRow {
  key: string;
  head: string;
  value: Value;
}

/** How sure a tube's place will be: the +- of its least sure mark once the readings are taken. */
export interface SureRow {
  member: string;
  sure: Value;
  words: string;
}

/** A survey as it stands. */
export interface SurveyAnswer {
  headline: string;
  level: "fail" | "look at" | "cannot tell" | "fine";
  cautions: string[];
  file: string;
  mark: string;
  problems: Problem[];
  title: string;
  datum: string;
  units: "mm" | "in" | "decimal in";
  readings: SurveyReading[];
  done: number;
  missing: string[];
  notes: ReadingNote[];
  besides: ReadingNote[];
  points: MeasuredPoint[];
  scatter: number | null;
  from_scan: string[];
  car: SurveyField[];
  wishes: SurveyField[];
  books: BookRow[];
}

/** One thing to fill in. */
export interface SurveyField {
  name: string;
  label: string;
  sort: "text" | "length" | "mass" | "angle" | "place" | "count" | "choice" | "yes or no" | "books" | "lengths";
  choices: FieldChoice[];
  hint: string;
  unit: string;
  value: string | number | boolean | string[];
}

/** One reading with its fields and what is said of it. */
export interface SurveyReading {
  number: number;
  id: string;
  title: string;
  hold: string;
  used: string;
  need: string;
  need_words: string;
  checked_by: string[];
  parts: ReadingPart[];
  done: boolean;
  begun: boolean;
  mark: "wrong" | "done" | "begun" | "must" | "open";
  state: string;
  level: "fail" | "look at" | "cannot tell" | "fine";
  notes: ReadingNote[];
}

/** The best place of a tab, and how it is turned. */
export interface TabRow {
  mount: string;
  said: string;
  turned: Value;
  spread: Value;
  level: "fail" | "look at" | "cannot tell" | "fine";
}

/** A table of ready-to-print cells; the numbers behind them are in the JSON of the sheet. */
export interface Table {
  title: string;
  columns: Column[];
  rows: string[][];
}

/** Names that the plan has already. */
export interface TakenNames {
  members: string[];
  points: string[];
  feet: string[];
  tubes: string[];
  plates: string[];
  gussets: string[];
}

/** A reading of a step as it was entered, and how it stands beside the plan. */
export interface TakenRow {
  line: number;
  uid: string;
  kind: string;
  a: string;
  b: string;
  axis: string;
  says: string;
  start: string;
  used: boolean;
  why: string;
  by: string;
  taken: string;
  verdict: string;
  level: "fail" | "look at" | "cannot tell" | "fine";
  also: string;
}

/** What a pull takes. */
export interface Takes {
  how: "hand" | "strap" | "stop" | "cannot tell";
  force: Value | null;
  stress: Value | null;
  member: string;
  words: string;
}

/** What was done to what, by whom and when, and its line in the record, by number and by name. */
export interface TickRow {
  what: string;
  done: string;
  by: string;
  taken: string;
  line: number;
  uid: string;
}

/** The outline of what presses at first touch, mm, and the way it goes. */
export interface ToolMoments {
  outline: Vec3[];
  way: Vec3;
  kind: string;
}

/** A tube as it is, and what now. */
export interface TubeAnswer {
  headline: string;
  level: "fail" | "look at" | "cannot tell" | "fine";
  cautions: string[];
  member: string;
  revision: string;
  basis: Sentence;
  numbers: TubeNumber[];
  outliers: Sentence[];
  not_used: Problem[];
  ways: TubeWay[];
  now: number;
  lines: Vec3[][];
  springback: SpringbackLine[];
}

/** A tube of the plan (mm), in words, and how many members are made of it. */
export interface TubeChoice {
  name: string;
  words: string;
  od: number;
  wall: number;
  steel: string;
  clr: number | null;
  members: number;
}

/** A straight, a bend or a turn: as planned, as it is with its 95 % range, and by how much it is off. */
export interface TubeNumber {
  what: string;
  planned: Value;
  found: Value;
  off: Value;
  clear: boolean;
}

/** A place among a tube's stations: the one before it and the part to the next, or one of its ends. */
export interface TubePoint {
  member: string;
  station: number;
  part: number;
  end: "start" | "end" | null;
}

/** A tube's force against its section; `yields_at` is the push's travel at its first yield. */
export interface TubeRow {
  member: string;
  used: Value;
  where: string;
  yields_at: Value | null;
  hinges: number;
  pull: Value;
  push: Value;
}

/** One tube by the cutting plan: what it is cut from, what is bought, what is to be seen to. */
export interface TubeToBuy {
  tube: string;
  bars: number;
  offcuts: number;
  bought: Value;
  price: Value;
  proved: boolean;
  problems: string[];
}

/** One reading to take on the bench. */
export interface TubeWanted {
  number: number;
  line: Record<string, any>;
  how: string;
  planned: Value;
  why: string;
  unit: string;
}

/** What to read of a tube: how many readings, what each is for, and what they leave open. */
export interface TubeWantedAnswer {
  headline: string;
  level: "fail" | "look at" | "cannot tell" | "fine";
  cautions: string[];
  member: string;
  as_built: boolean;
  revision: string;
  readings: TubeWanted[];
  leaves: Value;
  notes: Sentence[];
}

/** One thing that can be done with the tube. */
export interface TubeWay {
  kind: "as it is" | "slide or turn" | "press" | "cut into others" | "scrap";
  possible: boolean;
  level: "fail" | "look at" | "cannot tell" | "fine";
  words: string;
  why: string;
  follows: Sentence[];
  papers: string[];
  change: Record<string, any> | null;
}

/** A figure of an answer. */
export interface Value {
  value: number | null;
  unit: string;
  said: string;
  rests_on: "computed" | "measured" | "plan" | "estimate" | "cutting plan" | "assumed";
  certainty: "read" | "second-hand" | "computed" | "memory" | "shop" | null;
  plus_minus: number | null;
  bound: "" | "at least" | "at most";
  why: string;
}

/** A reading to take. */
export interface Wanted {
  number: number;
  kind: "tape" | "level" | "lean" | "place";
  a: string;
  b: string;
  axis: string;
  short: string;
  how: string;
  planned: Value;
  within: Value;
  ask: Value;
  start: string;
  why: string;
  leaves: Value | null;
}

/** One way round an obstacle. */
export interface WayRow {
  kind: "as planned" | "moved in" | "inboard with a bridge" | "cut";
  by: Value;
  said: string;
  helmet: Value | null;
  torch: Value | null;
  findings: string;
  hours: Value;
  lost: ShellLost | null;
  bridge: Bridge | null;
  problems: string[];
}

/** One weld of the proposed order. */
export interface WeldRow {
  joint: string;
  begin: string;
  drawn: Value;
  upper: Value;
  worst_after: Value;
}

/** A spot in a text file; line and column count from 1, 0 where unknown. */
export interface Where {
  file: string;
  line: number;
  col: number;
}
