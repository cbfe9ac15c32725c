// A number that can mean two, like 118.350 km: asked back beside its box, and the other digits stay as they were typed.

import { clear, meant } from '../../quantities/typed_numbers.js';
import { show } from './nodes.js';
import { whichPanel } from './sure.js';

/**
 * typedNumber({field, tests, unit}) -> {node, meant(), read(), asks(), hide(), write(number)} of a box of form.js. tests(): what the
 * field can be, each test a little less narrowly; unit(): how a number is named. meant(): what the text means, spelled
 * clearly, [] for no number; asks(): whether it is asked which of two it is, which then stands in `node`.
 */
export const typedNumber = ({ field: { box, value }, tests = () => [], unit = () => '' }) => {
  const write = (number) => { box.value = clear(String(number)); };
  const panel = whichPanel({
    write: ({ number }) => {
      write(number);
      box.dispatchEvent(new Event('input', { bubbles: true }));
      box.focus({ preventScroll: true });
    },
  });
  const now = () => meant(value(), ...tests());
  const asks = () => {
    const both = now();
    show(panel.node, both.length > 1);
    if (both.length < 2) return false;
    panel.update({ text: value(), others: both.map((number) => ({ number: Number(number), unit: unit() })) });
    panel.node.scrollIntoView?.({ block: 'nearest' });
    return true;
  };
  const read = () => {
    const found = now();
    return found.length === 1 ? Number(found[0]) : null;
  };
  const hide = () => show(panel.node, false);
  box.addEventListener('input', hide);
  hide();
  return { node: panel.node, meant: now, read, asks, hide, write };
};
