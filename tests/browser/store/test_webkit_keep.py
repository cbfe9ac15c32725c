"""The phone's store in WebKit, the engine of the other half of all phones."""

import random

import pytest

from tests.proofs.kill_harness import KEPT, run, start_webkit_on

pytestmark = pytest.mark.browser

LIVES = 10


@pytest.fixture
def profile(tmp_path):
    return tmp_path


def open_page(window, server):
    window.load(server.url("/pages/keep.html"))
    window.evaluate("""async () => {
        while (!('ready' in document.documentElement.dataset)) await new Promise((resolve) => setTimeout(resolve, 5));
    }""")


def test_no_painted_tick_is_lost_when_webkit_is_killed_around_the_paint(display, profile):
    result = run(KEPT, LIVES, start_webkit_on(display), profile, random.Random())
    assert result.in_window >= LIVES
    assert result.painted >= 5 * LIVES
    assert result.refused == []
    assert not any(life.lost for life in result.lives)


def test_webkit_mends_each_leg_from_the_other_and_trusts_the_store_again_after_a_restart(webkit, profile, pages):
    window = webkit(profile)
    open_page(window, pages)
    assert window.evaluate("""async () => {
        const keep = await open();
        const first = await keep.append(entry({ id: 'a' }));
        keep.close();
        await deleteStore();
        const mended = await open();
        const journal = await mended.journal('J-1');
        const { kept, why } = await mended.append(entry({ id: 'b' }));
        mended.close();
        return [first, journal.length, mended.trouble, kept, why];
    }""") == [
        {"kept": True, "mirrored": True},
        1,
        # Without a third store, one that has lost something takes nothing more until the browser is closed.
        [{"what": "store-empty-mirror-not", "repaired": 1}, {"what": "store-stopped", "why": "suspect"}],
        False,
        "suspect",
    ]
    window.quit()
    later = webkit(profile)
    open_page(later, pages)
    assert later.evaluate("""async () => {
        const keep = await open();
        const ids = (await keep.journal('J-1')).map(({ id }) => id);
        keep.close();
        localStorage.clear();
        const again = await open();
        again.close();
        return [ids, keep.trouble, again.trouble, mirrorKeys().length];
    }""") == [
        ["a", "b"],
        [],
        [{"what": "mirror-empty-store-not", "repaired": 2}],
        2,
    ]


def test_webkit_lets_the_oldest_job_leave_a_full_mirror(webkit, profile, pages):
    window = webkit(profile)
    open_page(window, pages)
    outcome, trouble = window.evaluate("""async () => {
        const keep = await open();
        await keep.append(entry({ job: 'J-1', value: 'x'.repeat(500) }));
        fillUp(100);
        const outcome = await keep.append(entry({ job: 'J-2', value: 'x'.repeat(400) }));
        return [outcome, keep.trouble];
    }""")
    assert outcome == {"kept": True, "mirrored": True}
    assert trouble == [{"what": "mirror-left", "job": "J-1", "entries": 1}]


def test_a_window_that_is_closed_properly_keeps_what_it_has(webkit, profile, pages):
    window = webkit(profile)
    open_page(window, pages)
    window.evaluate("async () => (await open()).append(entry({ id: 'a' }))")
    window.quit()
    later = webkit(profile)
    open_page(later, pages)
    assert later.evaluate("async () => (await (await open()).journal('J-1')).map(({ id }) => id)") == ["a"]
