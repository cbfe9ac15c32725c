// What a browser may lack, or may throw at the first touch: if site data is blocked, reading the property is enough.

/** reach('localStorage') -> it, or null. `of`: the object that has it. */
export const reach = (name, of = globalThis) => {
  try {
    return of[name] ?? null;
  } catch {
    return null;
  }
};
