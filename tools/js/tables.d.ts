// The names that stand in the desk's tables, for the type checker of the scripts. Never edit this file: write it anew
// with `python -m tools.tables`.

type CheckKind = 'tick' | 'tighten' | 'measure' | 'inspect' | 'wait' | 'turn' | 'photo' | 'sign';
type EntryKind =
  | 'start'
  | 'correct'
  | 'adopt'
  | 'confirm'
  | 'read'
  | 'check'
  | 'finish'
  | 'settle'
  | 'skip'
  | 'not-fitted'
  | 'refuse'
  | 'depart'
  | 'back'
  | 'not-disturbed'
  | 'took-off'
  | 'extra'
  | 'count'
  | 'put-back'
  | 'elapsed'
  | 'take-back'
  | 'decline'
  | 'pass-on'
  | 'receive';
type ReturnKind = 'back' | 'take-back';
type StartField = 'number' | 'vehicle' | 'odometer' | 'vin' | 'more';
type SaidField =
  | 'number'
  | 'vehicle'
  | 'odometer'
  | 'role'
  | 'procedure'
  | 'vin'
  | 'local'
  | 'reason'
  | 'sheet'
  | 'same'
  | 'text'
  | 'unit'
  | 'margin'
  | 'source'
  | 'not_published'
  | 'sure'
  | 'second'
  | 'set'
  | 'wrench'
  | 'adapter'
  | 'new'
  | 'outcome'
  | 'note'
  | 'kept_at'
  | 'self'
  | 'permit'
  | 'despite'
  | 'instead'
  | 'with'
  | 'how'
  | 'told_by'
  | 'price'
  | 'to'
  | 'label'
  | 'kind'
  | 'count'
  | 'list'
  | 'approved_by'
  | 'seconds'
  | 'why';
type OdometerUnit = 'km' | 'mi';
type ActionableState = 'disputed' | 'failed' | 'recheck' | 'open';
type ClosedState = 'done' | 'hidden' | 'not-fitted' | 'refused' | 'skipped';
type StateName =
  | 'disputed'
  | 'failed'
  | 'recheck'
  | 'open'
  | 'done'
  | 'hidden'
  | 'not-fitted'
  | 'refused'
  | 'skipped'
  | 'blocked'
  | 'waiting';
type BlockingCode = 'after' | 'hold' | 'list' | 'open' | 'order' | 'ready';
type DutyField = 'takes' | 'cautions' | 'opens' | 'closes' | 'hold' | 'gate' | 'picture';
type WordingField = 'do' | 'why';
type SectionName = 'parts' | 'tools' | 'consumables' | 'one_time' | 'values';
type RuledSection = 'parts' | 'tools' | 'consumables';
type SourceField = 'document' | 'where';
type GaugeKind = 'gauge' | 'vacuum';
type TimeUnit = 's' | 'min' | 'h' | 'day' | 'week';
type RecordLimit = 'bytes' | 'lines' | 'nested';
type RefusalCode =
  | 'too-large'
  | 'too-many'
  | 'no-record'
  | 'version'
  | 'cut-short'
  | 'damaged'
  | 'after-end'
  | 'no-line'
  | 'nested'
  | 'not-canonical'
  | 'sheet'
  | 'entry'
  | 'jobs'
  | 'other-job'
  | 'empty';
