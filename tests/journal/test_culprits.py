"""Which entries a page cannot handle: as few as possible, found in few trials, whatever and however many they are."""

from __future__ import annotations

from random import Random

from tests.support.node import node

WORK = """
const { culprits } = await import(`${site}/phone/job/culprits.js`);
return given.map(({ ids, bad, together }) => {
  let trials = 0;
  const works = (out) => {
    trials += 1;
    return together ? bad.some((id) => out.has(id)) : bad.every((id) => out.has(id));
  };
  const found = culprits(ids, works);
  return { found, trials };
});
"""


def test_the_fewest_are_found_in_few_trials() -> None:
    rng, cases = Random(4), []
    for number in range(60):
        ids = [f"{at:04d}" for at in range(rng.choice([1, 2, 3, 17, 400, 2000]))]
        bad = rng.sample(ids, min(len(ids), rng.choice([0, 1, 1, 1, 2, 3])))
        cases.append({"ids": ids, "bad": bad, "together": number % 5 == 4 and bool(bad)})
    for case, said in zip(cases, node(WORK, cases), strict=True):
        if case["together"]:  # one of them is enough to break the page
            assert len(said["found"]) == 1 and said["found"][0] in case["bad"]
        else:
            assert sorted(said["found"]) == sorted(case["bad"])
        assert said["trials"] <= 82


def test_where_nothing_helps_nothing_is_left_out_and_where_nothing_is_wrong_neither() -> None:
    never = "const { culprits } = await import(`${site}/phone/job/culprits.js`); return culprits(given, () => false);"
    always = never.replace("false", "true")
    assert node(never, ["a", "b"]) is None
    assert node(always, ["a", "b"]) == []


def test_so_many_culprits_that_the_trials_run_out_are_left_out_with_their_neighbours() -> None:
    ids = [f"{at:04d}" for at in range(2000)]
    bad = ids[::7]
    [said] = node(WORK, [{"ids": ids, "bad": bad, "together": False}])
    assert set(bad) <= set(said["found"]) and said["trials"] <= 82
