// The words of the trade for worksheets of before November 2026, which carry none. Never edit this file: change
// generator/journal/shapes/earlier_trade.json, then write it anew with `python -m tools.tables`.

import { table } from '../../base/own.js';

export const EARLIER_TRADE = table({
  noun: 'engine',
  sheet: 'engine sheet',
  whole: 'car',
  start: [
    table({ name: 'what', label: 'Vehicle, as the shop writes it', optional: false }),
    table({ name: 'odometer', label: 'Odometer', optional: false }),
    table({ name: 'vin', label: 'VIN', optional: true }),
  ],
  kinds: [
    table({ name: 'bolt', label: 'Bolt or nut', stands: 'loose', said: null, closed_by: 'tighten' }),
    table({ name: 'bleed-screw', label: 'Bleed screw', stands: 'loose', said: null, closed_by: null }),
    table({ name: 'connector', label: 'Connector', stands: 'off', said: null, closed_by: null }),
    table({ name: 'hose', label: 'Hose', stands: 'off', said: null, closed_by: null }),
    table({ name: 'vacuum-line', label: 'Vacuum line', stands: 'off', said: null, closed_by: null }),
    table({ name: 'earth', label: 'Earth strap', stands: 'off', said: null, closed_by: null }),
    table({ name: 'battery', label: 'Battery', stands: 'off', said: null, closed_by: null }),
    table({ name: 'wheel', label: 'Wheel', stands: 'off', said: null, closed_by: null }),
    table({ name: 'undertray', label: 'Undertray', stands: 'off', said: null, closed_by: null }),
    table({ name: 'cap', label: 'Cap', stands: 'off', said: null, closed_by: null }),
    table({ name: 'cover', label: 'Cover', stands: 'off', said: null, closed_by: null }),
    table({ name: 'part', label: 'Another part', stands: 'off', said: null, closed_by: null }),
    table({ name: 'pin', label: 'Pin', stands: 'in', said: null, closed_by: null }),
    table({ name: 'locking-tool', label: 'Locking tool', stands: 'in', said: null, closed_by: null }),
    table({ name: 'rag', label: 'Rag', stands: 'in', said: null, closed_by: null }),
    table({ name: 'plug', label: 'Plug', stands: 'in', said: null, closed_by: null }),
    table({ name: 'turning-bar', label: 'Turning bar', stands: 'in', said: null, closed_by: null }),
    table({ name: 'support', label: 'Engine support', stands: 'in', said: null, closed_by: null }),
    table({ name: 'stand', label: 'Stand', stands: 'in', said: null, closed_by: null }),
    table({ name: 'tool', label: 'Tool', stands: 'in', said: null, closed_by: null }),
    table({ name: 'relearn', label: 'Relearn', stands: 'due', said: 'to relearn', closed_by: null }),
    table({ name: 'proof', label: 'Proof', stands: 'due', said: 'not proved', closed_by: 'inspect' }),
    table({ name: 'fluid', label: 'Fluid', stands: 'due', said: 'not in yet', closed_by: null }),
  ],
  lists: [
    table({ name: 'covers', title: 'Under the covers', before: 'before close-up' }),
    table({ name: 'bay', title: 'In the engine bay', before: 'before the starter' }),
    table({ name: 'road', title: 'Wheels and underside', before: 'before the road' }),
  ],
  gates: [
    table({ name: 'strip-down', title: 'Before the strip-down' }),
    table({ name: 'hand-turn', title: 'Before the engine is turned by hand' }),
    table({ name: 'starter', title: 'Before the starter turns the engine' }),
    table({ name: 'road', title: 'Before the car goes on the road' }),
  ],
  roles: [
    table({ name: 'tech', label: 'technician', leads: false }),
    table({ name: 'apprentice', label: 'apprentice', leads: false }),
    table({ name: 'lead', label: 'lead', leads: true }),
  ],
});
