// What the phone's pure modules are about, for the type checker alone: nothing here is served. docs/format.md is binding
// and says what each field means. An open map (`Names<T>`) is looked up by names from outside; all else has the fields
// that stand here, and a field that does not is a fault.

type Names<T> = { [name: string]: T };
type Json = any; // read by its shape, never by its type: what a stranger's file holds, trees of formulas
type Verdict = 'failed' | Exclude<ClosedState, 'hidden'> | null;
/** Why a step does not go, or is looked at again: docs/format.md, "Reasons". */
type WhyCode = BlockingCode | 'value' | 'result' | 'disturbed' | 'again' | 'duty' | 'doubt' | 'permit' | 'signer' | 'not-needed';


// --- entries ---------------------------------------------------------------------------------------------------------

/** Of every kind of entry: docs/format.md, "Entries", says which has which. What the table lacks is no field. */
type Said = Pick<SaidTypes, SaidField | 'except' | 'disturbs' | 'rest' | 'opened'>;
interface SaidTypes {
  number?: Json, vehicle?: string, odometer?: Json, role?: string, procedure?: string, vin?: string, local?: { day: string, time_zone?: string }, reason?: string,
  sheet?: string, except?: string[], same?: string, text?: string, unit?: string, source?: Source,
  not_published?: boolean, sure?: boolean, margin?: Amount, second?: { self: boolean }, set?: string, wrench?: string,
  adapter?: { length: number, angle: number, lever: number }, new?: boolean, outcome?: string, note?: string,
  kept_at?: string, self?: boolean, permit?: string, despite?: { results: string[], reason: string }, instead?: string, with?: string,
  how?: string, told_by?: string, price?: string, to?: string, disturbs?: string[], rest?: string[], label?: string,
  kind?: string, count?: number, list?: string, approved_by?: string, opened?: string[], seconds?: number, why?: string,
}
interface Entry {
  v: number, id: string, job: string, device: string, writer: string, prev: string, lamport: number, at: string,
  who: string, sheet: string, step: string, part: string, kind: EntryKind, value: Said, seen: string[],
}
interface Gathered { entries: Entry[], index: Map<string, Entry[]> }
/** What an entry is looked up by later: its id, its step, the steps it reopens, the entries it takes back. */
type IndexedBy = 'id' | 'step' | 'rest' | 'not-disturbed' | ReturnKind;
interface Answer { entry: Entry, kind: EntryKind }
interface Standing { answers: Answer[], disputed: boolean, returned: boolean }

// --- the state -------------------------------------------------------------------------------------------------------

interface Why { code: WhyCode, step?: string, items?: string[], list?: string, section?: SectionName, name?: string }
interface Shown { id: string, part: string, kind: EntryKind, value: Said, who: string, at: string, device: string }
interface Seen {
  answers: Shown[], done: string[], of: string[], elapsed: number | null, failures: number, reworded: boolean,
  was: boolean, extra: boolean, asks_new?: string[], not_by?: NotBy[],
}
/** Who cannot give a permit: who has the job, or, with `work`, who did a part of what it allows. */
interface NotBy { who: string, at: string, work: boolean }
interface StepState extends Seen { state: StateName, why: Why[] }
interface ValueState {
  text: string | null, number: number | null, unit: string | null, source: Source | null, missing: boolean,
  not_published: boolean, filled: boolean, disputed: boolean, margin?: Amount, sure?: boolean,
  waits?: Json, second?: Json,
}
interface ItemState extends Item { open: number, left?: number }
interface ResultState {
  base: Json, needs: string[], because: string[], limit: number | null, verdict: string | null, bad: boolean, known: boolean,
}
interface State {
  sheet: string | null, job: Json, order: string[], next: string | null, steps: Names<StepState>,
  items: Names<ItemState>, open: number, lists: Record<string, { open: string[] }>, bolts: Names<Json[]>,
  values: Names<ValueState>, readings: Names<Json>, results: Names<ResultState>,
  ready: Record<SectionName, { confirmed: boolean, except: string[] }>, extras: Names<Json>,
  declined: null | { reason: string, who: string, at: string }, passed: null | { to: string | null, received: boolean, who: string },
  complete: boolean, corrected?: Names<Json>, departures: string[], gone: string[], unknown: string[],
  clashes: string[], inert: string[],
}

// --- while the journal is judged -------------------------------------------------------------------------------------

interface View {
  gathered: Gathered, sheets: Names<Sheet>, undone: Set<Entry>, values: Names<ValueState>, readBy: Map<string, Entry>,
  counts: Map<string, number>, items: Names<ItemState>, steps: Names<StepState>, readings: Names<Json>,
  results: Names<ResultState>, takenBy: Map<string, Entry>, tookOff: Map<string, Entry>, wasKinds: Map<string, Json[]>, backs: Map<string, Entry[]>,
  pulls: Map<string, [string, Entry][]>, start: Entry | null, startDisputed: boolean, corrected: Names<Json>,
  inert: Set<Entry>, departures: Set<Entry>, digest: string | null, sheet: Sheet | null, trade: Trade,
  homes: Map<string, string[]>, home: Map<string, string>, byPath: Map<string, Step>, leads: Set<string>,
  classes: Map<string, string>,
  backsOn(paths: string[], answer: Entry): Entry[], isAlive(entry: Entry): boolean, inJob(name: string): Standing,
  inStep(paths: string[], name: string): Standing, pathsOf(step: string): string[],
  stepAsAnswered(entry: Entry): Step | null, askedOtherwise(entry: Entry, step: Step): { duty: boolean, wording: boolean },
}
/** What is open, and what older worksheets say: generator/journal/opened/ say what each of these means. */
interface Lot {
  what: string, path: string, isOlder: boolean, answers: Entry[], opened: number, open: number, rest: number,
  of: OpenedAt | null,
}
interface Closing { what: string, left: number | null, counts(lot: Lot): boolean }
interface Lots { lots: Lot[], allowed: Map<string, number>, closings: Closing[] }
interface BackSaid { count: number, entry: Entry }
interface Used {
  digest: string, sheet: Sheet, place: Map<string, number>, homes: Map<string, string[]>, adoptions: Entry[], isFirst: boolean,
}
interface Takes { used: Map<string, Used>, undone: Set<string>, newestUndoing: Entry | null }
interface Claim { count: number, used: Used, last: Entry, joins: string[] }
interface OpenedAt extends Claim { what: string, path: string, answers: Entry[] }
interface At { used: Used, place: number, last: Entry, isDone(): boolean }
interface ClosedAt { what: string, count: number | null, at: At[] }
interface Older {
  used: Map<string, Used>, checks: Map<string, Entry[]>, roots: Map<string, string>, opened: Map<string, OpenedAt[]>,
  closed: Map<string, ClosedAt[]>, answered: Map<string, At[]>,
}
interface Walk {
  stage: number, hold: string | null, before: string | null, beforeBound: string | null, inside: string | null,
  last: Entry | null, lastStep: string, found: Map<string, Set<string>>, stranded: Set<string>,
  ledger: Lots, departs: Map<string, Set<string>>, older: Older | null, words: Map<string, BackSaid>,
  back: Map<string, Entry>,
}
interface Mark { part: string, answer: Answer, given: Verdict, stale: Why[] }
interface Judged {
  state: StateName | null, whys: Why[], marks: Mark[], unmet: string[], held: string[], doubts: string[], barred: Why[], seen: Seen,
}
interface Ask {
  step: Step, of: string[], leads: Set<string>, unmet: string[], held: string[], counts(name: string, value: Said): boolean,
  isPull(value: Said): boolean, seconds: number | null, lookedAt: Entry[], starts: Entry[], elapsed: Entry[],
  later(y: Entry, x: Entry): boolean, despite(entry: Entry): boolean, isNew(part: string, entry: Entry): boolean,
  permits(entry: Entry): boolean, maySign(entry: Entry): boolean,
}
/** How check-offs of one kind are judged: generator/journal/answers.py says what each of these means. */
interface CheckRules {
  parts(check: Check, values: Names<ValueState>): string[], inTurn: boolean,
  lacks(check: Check, values: Names<ValueState>, fastener: string, departs: Set<string>): boolean,
  takes(check: Check): [string, string][], counts(ask: Ask, entry: Entry, part: string): boolean,
}
