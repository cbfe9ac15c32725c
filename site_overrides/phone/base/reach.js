// What a browser may lack, or throws at the mere touch of: where site data is blocked, reading the property is enough.

/** reach('localStorage') -> it, or null. `of`: where it hangs. */
export const reach = (name, of = globalThis) => {
  try {
    return of[name] ?? null;
  } catch {
    return null;
  }
};
