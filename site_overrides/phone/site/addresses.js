// Where things lie on this site. A job is #<job>, a start form that is filled in #new?...

const plain = (text) => {
  try {
    return decodeURIComponent(text);
  } catch {
    return text;
  }
};

/**
 * openAddresses({root, document}) -> {home, guide, folderOf(worksheet), jobAt(job, sheet), named(hash)}. jobAt: a job whose
 * worksheet this site no longer has is opened by the page of all jobs. named -> {job} or {filled}, the fields of a start.
 */
export const openAddresses = ({ root, document }) => {
  const home = new URL('jobs/', root).href;
  const folderOf = (worksheet) => new URL(`w/${encodeURIComponent(worksheet)}/`, root);
  const jobAt = (job, sheet) => {
    const listed = [...document.querySelectorAll('[data-worksheet]')].map((one) => one.dataset.worksheet);
    const isHere = sheet && listed.includes(sheet.worksheet);
    return `${isHere ? folderOf(sheet.worksheet) : home}#${encodeURIComponent(job)}`;
  };
  const named = (hash) => {
    const [name, filled] = hash.slice(1).split('?');
    if (name !== '' && name !== 'new') return { job: plain(name) };
    return { job: null, filled: Object.fromEntries(new URLSearchParams(filled ?? '')) };
  };
  return { home, guide: new URL('guide/this-phone/', root).href, folderOf, jobAt, named };
};
