// The names that stand in the desk's tables, for the type checker of the scripts. Never edit this file: write it anew
// with `python -m tools.tables`.

type CheckKind = 'tick' | 'tighten' | 'measure' | 'inspect' | 'wait' | 'turn' | 'photo' | 'sign';
