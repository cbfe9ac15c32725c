// What plain data of a worksheet holds, for the type checker of the scripts: made from the nouns of
// generator/worksheet.py. Never edit this file: write it anew with `python -m tools.tables`.

type RichJson = Json; // a tree of text, read by its shape
interface Check {
  kind: CheckKind,
  hold_down?: boolean,
  value?: string,
  fastener?: 'critical' | 'ordinary' | 'clip',
  list?: string | null,
  item?: string | null,
  parts?: Pull[],
  asks_new?: boolean,
  reading?: string,
  against?: string | null,
  outcomes?: Outcome[],
  seconds?: number | null,
  every?: number | null,
  every_value?: string | null,
  say?: string | null,
  watch?: Watch | null,
  count?: number | null,
  label?: string,
  of?: string[],
  self_check_after?: number,
  permit?: string,
  alone?: boolean,
  qualified?: boolean,
}
interface Engine {
  id?: string,
  title?: string,
  revision?: number,
  facts?: Names<Json>,
  invented?: boolean,
}
interface Person {
  initials: string,
  name?: string,
  role: string,
}
interface Shop {
  id?: string,
  title?: string,
  odometer?: string,
  time_zone?: string,
  units?: Names<string>,
  people: Person[],
}
interface ShownName {
  v: string,
}
interface Styled {
  t: 'em' | 'strong' | 'code',
  c: RichJson,
}
interface Caution {
  level: string,
  hazard?: string,
  harm?: string,
  avoid?: string,
}
interface Stage {
  id?: string,
  title?: string,
  order: 'any' | 'kept' | 'absolute',
  why?: RichJson | null,
  cautions?: Caution[],
}
interface Pull {
  id: string,
  label?: string,
  target?: string | null,
  kind?: 'torque' | 'angle' | null,
}
interface Outcome {
  name: string,
  label?: string,
  fails: boolean,
}
interface Watch {
  start: string,
  end: string,
}
interface Opened {
  what: string,
  count: number,
}
interface Moved {
  what: string,
  count: number | null,
}
interface Gate {
  for?: string,
  kinds: string[],
  lists: string[],
  ready: boolean,
  also?: string[],
}
interface Asked {
  step: string,
  outcomes: string[],
}
interface IfFailed {
  when?: string,
  outcomes?: string[],
  back_to?: string | null,
  disturbs?: string[],
  say?: string | null,
}
interface Picture {
  file: string,
  alt: string,
}
interface Step {
  path: string,
  stage: number,
  do?: RichJson,
  why?: RichJson | null,
  words?: Names<string>,
  cautions?: Caution[],
  check: Check,
  opens: Opened[],
  closes: Moved[],
  hold: boolean,
  gate?: Gate | null,
  when: Asked[],
  after: string[],
  if_failed?: IfFailed | null,
  stop?: boolean,
  leave: 'own' | 'lead' | 'never',
  may_refuse: boolean,
  landmark?: string | null,
  catches?: string[],
  uses?: string[],
  takes?: string[],
  shows?: string[],
  holds?: string[],
  doubts?: string[],
  values: string[],
  decides?: boolean,
  picture?: Picture | null,
  was: string[],
  completion: boolean,
  which?: string,
  says?: string[],
  duty: string,
  wording: string,
}
interface Source {
  document?: string,
  where?: string,
  read?: string | null,
  by?: string | null,
  checked_by?: string | null,
  checked?: string | null,
}
interface Amount {
  number: number,
  unit: string,
}
interface Limits {
  low: number,
  high: number,
  above: boolean,
  whole: boolean,
  of?: string[],
}
interface Band {
  low: number,
  high: number,
  by?: string | null,
}
interface Span {
  low: number,
  high: number,
}
interface Value {
  label?: string,
  kind?: string,
  class: 'critical' | 'ordinary' | 'clip',
  text: string | null,
  missing?: string | null,
  source: Source | null,
  count?: number | null,
  reuse?: string | null,
  passes?: string[],
  order?: number[],
  tolerance?: string | null,
  thread?: string | null,
  number?: Amount | null,
  units?: string[],
  margin?: Amount | null,
  asks_margin?: boolean,
  limits?: Limits | null,
  condition?: string | null,
  into?: string | null,
  grade?: string | null,
  engaged?: string | null,
  head?: string | null,
  grip?: string | null,
  band?: Band | null,
  turn?: Span | null,
  unjudged?: string[],
  doubt?: string | null,
  points?: number[][],
  of_the_day?: 'True',
}
interface Reading {
  label: string,
  kind: string,
  unit: string,
  units?: string[],
  from?: number | null,
  to?: number | null,
  divisions?: Names<number>,
}
interface Limit {
  when: Json,
  verdict: string,
  bad: boolean,
  say: RichJson | null,
  do: RichJson | null,
}
interface PartOf {
  whole: string,
  parts: string[],
}
interface Result {
  name: string,
  label: string,
  kind: string,
  unit: string,
  units?: string[],
  step: number | null,
  why: string | null,
  tree: Json,
  words?: (string | string[])[],
  inputs: string[],
  tables?: string[],
  limits: Limit[],
  hold: boolean,
  fills: string | null,
  safe?: 'down' | 'up',
  set_on?: string,
  part_of?: PartOf,
  against?: Json[],
}
interface Column {
  label: string,
  unit: string,
}
interface Table {
  title: string,
  source: string,
  edition?: string | null,
  got?: string | null,
  x: Column,
  y: Column,
  rows: number[][],
}
interface Given {
  label: string,
  kind: string,
  unit: string,
  number?: number | null,
}
interface Unit {
  kind: string,
  scale: number,
  offset: number,
}
interface Item {
  kind: string,
  label?: string,
  list: string | null,
  count: number,
}
interface StartBox {
  name: string,
  label: string,
  optional: boolean,
}
interface Kind {
  name: string,
  label: string,
  stands: string,
  said: string | null,
  closed_by: string | null,
}
interface List {
  name: string,
  title: string,
  before: string,
}
interface GateTitle {
  name: string,
  title: string,
}
interface Role {
  name: string,
  label: string,
  leads: boolean,
  qualified?: boolean,
}
interface Trade {
  noun: string,
  sheet: string,
  whole: string,
  start: StartBox[],
  kinds: Kind[],
  lists: List[],
  gates: GateTitle[],
  roles: Role[],
}
interface Part {
  label: string,
  number?: string | null,
  count?: number,
  one_time?: boolean,
}
interface Tool {
  label: string,
}
interface OneTime {
  label: string,
  count?: number,
}
interface NoWrench {
  value: string,
  label: string,
  text: string | null,
  why: string,
}
interface Needs {
  parts?: Names<Part>,
  tools?: Names<Tool>,
  consumables?: Names<Tool>,
  one_time?: Names<OneTime>,
  values?: string[],
  no_wrench?: NoWrench[],
}
interface Budget {
  taps: number,
  holds: number,
  photos: number,
}
interface Wrench {
  label: string,
  low: number,
  high: number,
  step: number,
  unit: string,
  iso: string,
  accuracy: number,
  lever?: number | null,
  due?: string | null,
}
interface Adapter {
  label: string,
  length: number,
  angle?: number | null,
}
interface Torque {
  setting: Json,
  rounding: Json,
  offered: Json,
  inside: Json,
}
interface Sheet {
  v: number,
  worksheet?: string,
  procedure?: string,
  title?: string,
  revision?: number,
  engine?: Engine,
  shop: Shop,
  stages: Stage[],
  steps: Step[],
  values: Names<Value>,
  readings?: Names<Reading>,
  results?: Result[],
  tables?: Names<Table>,
  givens?: Names<Given>,
  units?: Names<Unit>,
  items: Names<Item>,
  trade?: Trade,
  needs: Partial<Record<SectionName, Names<Json>>>,
  budget?: Budget,
  wrenches?: Names<Wrench>,
  adapters?: Names<Adapter>,
  torque?: Torque,
  second_reader?: number,
}
