// Canonical JSON: one text for one value, the same here and in generator/canonical.py.

/** One text for one value: JSON without spaces, keys in order. canonical({b: 1, a: [2]}) is '{"a":[2],"b":1}'. */
export const canonical = (value) => {
  if (Array.isArray(value)) return `[${value.map((item) => canonical(item ?? null)).join(',')}]`;
  if (value === null || typeof value !== 'object') return JSON.stringify(value);
  const pairs = Object.entries(value).filter(([, of]) => of !== undefined).sort(([a], [b]) => (a < b ? -1 : 1));
  return `{${pairs.map(([key, of]) => `${JSON.stringify(key)}:${canonical(of)}`).join(',')}}`;
};
