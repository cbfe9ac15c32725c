"""The phone's store in Chromium: what it saves, what it says when it cannot, and how one copy repairs the other."""

import hashlib

import pytest

from tests.browser.conftest import INSECURE_HOST

pytestmark = pytest.mark.browser


def findings(trouble):
    return {finding["what"]: finding for finding in trouble}


def restart(tab):
    """Open the page again, in the same browser session."""
    tab.reload()
    tab.wait_for_selector("html[data-ready]", state="attached")


# --- kept -----------------------------------------------------------------------------------------------------------


def test_an_appended_entry_is_in_both_legs_and_there_after_a_reload(tab):
    outcome = tab.evaluate("""async () => {
        const keep = await open();
        return [await keep.append(entry({ id: 'a1' })), mirrorKeys().length, keep.trouble];
    }""")
    assert outcome == [{"kept": True, "mirrored": True}, 1, []]
    restart(tab)
    journal, jobs, trouble = tab.evaluate("""async () => {
        const keep = await open();
        return [await keep.journal('J-1'), await keep.jobs(), keep.trouble];
    }""")
    assert [entry["id"] for entry in journal] == ["a1"]
    assert jobs == [{"job": "J-1", "entries": 1, "touched": 1700000000000}]
    assert trouble == []


def test_a_journal_is_ordered_by_lamport_writer_and_id(tab):
    ids = tab.evaluate("""async () => {
        const keep = await open();
        await keep.append(entry({ id: 'd', lamport: 10, writer: 'w-1' }));
        await keep.append(entry({ id: 'c', lamport: 9, writer: 'w-2' }));
        await keep.append(entry({ id: 'b', lamport: 9, writer: 'w-1' }));
        await keep.append(entry({ id: 'a', lamport: 9, writer: 'w-1' }));
        return (await keep.journal('J-1')).map(({ id }) => id);
    }""")
    assert ids == ["a", "b", "c", "d"]


def test_the_job_written_last_is_listed_first(tab):
    jobs = tab.evaluate("""async () => {
        const keep = await open();
        for (const job of ['J-1', 'J-2', 'J-1', 'J-3', 'J-2']) await keep.append(entry({ job }));
        return (await keep.jobs()).map(({ job, entries }) => [job, entries]);
    }""")
    assert jobs == [["J-2", 2], ["J-3", 1], ["J-1", 2]]


def test_a_union_adds_what_is_missing_and_says_what_was_there(tab):
    outcomes = tab.evaluate("""async () => {
        const keep = await open();
        const all = times(40, (i) => entry({ id: `e${i}` }));
        for (const made of all.slice(0, 3)) await keep.append(made);
        const first = await keep.union([...all, all[7], { no: 'entry' }]);
        return [first, await keep.union(all), (await keep.journal('J-1')).length];
    }""")
    assert outcomes == [
        {"kept": True, "mirrored": True, "added": 37, "had": 3},
        {"kept": True, "mirrored": True, "added": 0, "had": 40},
        40,
    ]


def test_a_union_is_one_transaction(tab):
    writes = tab.evaluate("""async () => {
        const plan = {};
        const keep = await open({ indexedDB: fakes.failing(plan) });
        const before = plan.writes;
        await keep.union(times(500, () => entry()));
        return plan.writes - before;
    }""")
    assert writes == 1


def test_one_id_with_two_contents_is_kept_twice_and_with_one_content_once(tab):
    values = tab.evaluate("""async () => {
        const keep = await open();
        const made = entry({ id: 'a1', value: 1 });
        await keep.append(made);
        await keep.append(Object.fromEntries(Object.entries(made).reverse()));
        await keep.append({ ...made, value: 2 });
        return (await keep.journal('J-1')).map(({ value }) => value).sort();
    }""")
    assert values == [1, 2]


def test_an_entry_comes_back_as_it_was_given(tab):
    same = tab.evaluate("""async () => {
        const keep = await open();
        const value = { reading: '7.50', unit: 'mm', list: [1, null, ''] };
        const made = entry({ job: 'J:1 / ä€', value, later: 'field' });
        await keep.append(made);
        const [back] = await keep.journal('J:1 / ä€');
        localStorage.clear();
        return canonical(back) === canonical(made);
    }""")
    assert same


def test_two_shops_on_one_origin_never_meet(tab):
    ids = tab.evaluate("""async () => {
        const here = await open({ scope: 'lower-lane/' });
        const there = await open({ scope: 'lower-lane/b/' });
        await here.append(entry({ id: 'here' }));
        await there.append(entry({ id: 'there' }));
        await here.setSetting('device', 'bay-2');
        await here.wipe('J-1');
        return [await here.jobs(), (await there.journal('J-1')).map(({ id }) => id), await there.setting('device')];
    }""")
    assert ids == [[], ["there"], None]


def test_two_tabs_writing_at_once_lose_nothing(visit):
    one, two = visit(), visit()
    for tab in (one, two):
        tab.evaluate("""async () => { globalThis.keep = await open(); }""")
    one.evaluate("() => { globalThis.done = Promise.all(times(30, () => keep.append(entry()))); }")
    two.evaluate("() => Promise.all(times(30, () => keep.append(entry())))")
    one.evaluate("() => done")
    assert [tab.evaluate("async () => (await keep.journal('J-1')).length") for tab in (one, two)] == [60, 60]


@pytest.mark.parametrize("given", ["{}", "{ BroadcastChannel: null }"])
def test_another_tab_hears_which_job_was_written_until_it_stops_listening(visit, given):
    here, there = visit(), visit()
    there.evaluate(f"""async () => {{
        globalThis.heard = [];
        const keep = await open({given});
        globalThis.stop = keep.onOther(({{ job }}) => heard.push(job));
    }}""")
    here.evaluate(f"""async () => {{
        globalThis.keep = await open({given});
        await keep.append(entry({{ job: 'J:7' }}));
    }}""")
    there.wait_for_function("heard.includes('J:7')")
    there.evaluate("() => stop()")
    here.evaluate("() => keep.append(entry({ job: 'J-8' }))")
    there.evaluate("() => new Promise((resolve) => setTimeout(resolve, 100))")
    assert "J-8" not in there.evaluate("heard")
    assert here.evaluate("async () => (await keep.jobs()).length") == 2


# --- one leg mended from the other ----------------------------------------------------------------------------------

THREE_TICKS = """async () => {
    const keep = await open();
    for (const id of ['a', 'b', 'c']) await keep.append(entry({ id }));
    await keep.setSetting('device', 'bay-2');
    keep.close();
}"""
LOOK_AGAIN = """async () => {
    const keep = await open();
    const ids = (await keep.journal('J-1')).map(({ id }) => id);
    const found = [ids, await keep.setting('device'), keep.trouble];
    keep.close();
    return found;
}"""
STORED = """async () => (await open({ localStorage: null })).journal('J-1').then((all) => all.map(({ id }) => id))"""


def test_a_store_that_came_back_empty_is_filled_from_the_mirror_and_told(tab):
    tab.evaluate(THREE_TICKS)
    assert tab.evaluate("deleteStore")
    assert tab.evaluate(LOOK_AGAIN) == [
        ["a", "b", "c"],
        "bay-2",
        [{"what": "store-empty-mirror-not", "repaired": 3}],
    ]
    assert tab.evaluate(STORED) == ["a", "b", "c"]
    assert tab.evaluate(LOOK_AGAIN)[2] == []


def test_a_store_that_is_behind_is_filled_from_the_mirror_and_told(tab):
    tab.evaluate(THREE_TICKS)
    tab.evaluate("() => meddle('entries', (shelf) => shelf.delete(IDBKeyRange.bound(['J-1', 'b'], ['J-1', 'c'])))")
    assert tab.evaluate(LOOK_AGAIN)[2] == [{"what": "store-behind", "repaired": 1}]
    assert tab.evaluate(STORED) == ["a", "b", "c"]


def test_a_mirror_that_came_back_empty_is_filled_from_the_store_and_told(tab):
    tab.evaluate(THREE_TICKS)
    tab.evaluate("() => localStorage.clear()")
    assert tab.evaluate(LOOK_AGAIN) == [
        ["a", "b", "c"],
        "bay-2",
        [{"what": "mirror-empty-store-not", "repaired": 3}],
    ]
    assert tab.evaluate("() => mirrorKeys().length") == 3
    assert tab.evaluate(LOOK_AGAIN)[2] == []


def test_a_mirror_that_is_behind_is_filled_from_the_store_and_told(tab):
    tab.evaluate(THREE_TICKS)
    tab.evaluate("() => localStorage.removeItem(mirrorKeys()[0])")
    assert tab.evaluate(LOOK_AGAIN)[2] == [{"what": "mirror-behind", "repaired": 1}]
    assert tab.evaluate("() => mirrorKeys().length") == 3


def test_each_legs_lost_entries_come_from_the_other(tab):
    tab.evaluate(THREE_TICKS)
    tab.evaluate("() => meddle('entries', (shelf) => shelf.delete(IDBKeyRange.bound(['J-1', 'a'], ['J-1', 'b'])))")
    tab.evaluate(
        "() => localStorage.removeItem(mirrorKeys().find((key) => key.includes(':c.') || key.includes(':c:')))"
    )
    ids, _device, trouble = tab.evaluate(LOOK_AGAIN)
    assert ids == ["a", "b", "c"]
    assert set(findings(trouble)) == {"store-behind", "mirror-behind"}


def test_a_damaged_mirror_value_is_set_aside_and_mended(tab):
    tab.evaluate(THREE_TICKS)
    for text in ["", "NaN", "7", "5 {", '5 {"id":"other"}', "[object Object]", "null"]:
        tab.evaluate("(text) => localStorage.setItem(mirrorKeys()[0], text)", text)
        ids, _device, trouble = tab.evaluate(LOOK_AGAIN)
        assert ids == ["a", "b", "c"], text
        assert findings(trouble)["mirror-unreadable"]["key"].startswith("handturn:lower-lane%2F:entry:"), text
        assert findings(trouble)["mirror-behind"]["repaired"] == 1, text
        assert tab.evaluate("() => Object.entries(localStorage).find(([key]) => key.includes(':bad:'))[1]") == text


def test_a_damaged_note_in_the_mirror_stops_nothing(tab):
    tab.evaluate(THREE_TICKS)
    for name in ["count", "wiped", "left", "setting:device"]:
        for text in ["", "null", "{", '"text"']:
            tab.evaluate("([name, text]) => localStorage.setItem(`handturn:lower-lane%2F:${name}`, text)", [name, text])
            assert tab.evaluate(LOOK_AGAIN)[:2] == [["a", "b", "c"], "bay-2"], (name, text)
    assert tab.evaluate("async () => (await (await open()).append(entry())).kept")


def test_what_no_leg_holds_any_more_is_told(tab):
    tab.evaluate("() => { globalThis.lacking = { storage: null }; }")
    tab.evaluate(THREE_TICKS)
    tab.evaluate("""() => { for (const key of mirrorKeys().slice(0, 2)) localStorage.removeItem(key); }""")
    assert tab.evaluate("deleteStore")
    found = findings(tab.evaluate(LOOK_AGAIN)[2])
    assert found["store-empty-mirror-not"]["repaired"] == 1
    assert found["entries-missing"] == {"what": "entries-missing", "atMost": 2, "jobs": []}


# --- the log: the third leg ------------------------------------------------------------------------------------------

LOGGED = """async () => {
    const root = await navigator.storage.getDirectory();
    let text = '';
    for await (const folder of root.values()) {
        for await (const file of folder.values()) text += await (await file.getFile()).text();
    }
    return text;
}"""
WITHOUT_LOG = "() => { globalThis.lacking = { storage: null }; }"


def test_a_store_and_a_mirror_that_are_lost_together_are_filled_from_the_log(tab):
    tab.evaluate(THREE_TICKS)
    assert tab.evaluate("deleteStore")
    tab.evaluate("() => localStorage.clear()")
    ids, _, trouble = tab.evaluate(LOOK_AGAIN)
    assert ids == ["a", "b", "c"]
    assert findings(trouble)["store-empty-mirror-not"]["repaired"] == 3
    assert tab.evaluate(LOOK_AGAIN)[2] == []


KILLED_AT_THE_MIRROR = """async () => {
    // What local storage holds at the moment a tick has got there, and nowhere else yet.
    let left = null;
    const setItem = (key, text) => {
        localStorage.setItem(key, text);
        if (key.includes(':entry:')) left ??= Object.entries(localStorage);
    };
    const recorder = new Proxy(localStorage, {
        get: (target, key) => {
            if (key === 'setItem') return setItem;
            return typeof target[key] === 'function' ? target[key].bind(target) : target[key];
        },
    });
    const ticking = await open({ localStorage: recorder });
    await ticking.append(entry({ id: 'a' }));
    await ticking.wipe('J-1');
    ticking.close();
    await deleteStore();
    const root = await navigator.storage.getDirectory();
    for await (const name of root.keys()) await root.removeEntry(name, { recursive: true });
    for (const name of await caches.keys()) await caches.delete(name);
    localStorage.clear();
    (await open()).close();
    for (const [key, text] of left) localStorage.setItem(key, text);
    return left.filter(([key]) => key.includes(':entry:')).length;
}"""


def test_a_tick_that_a_kill_left_in_the_mirror_alone_is_no_sign_of_a_store_that_forgot(tab):
    assert tab.evaluate(KILLED_AT_THE_MIRROR) == 1
    ids, _, trouble = tab.evaluate(LOOK_AGAIN)
    assert ids == ["a"] and trouble == []
    assert tab.evaluate(STORED) == ["a"]


def test_a_log_that_was_lost_is_told_and_filled_again(tab):
    tab.evaluate(THREE_TICKS)
    tab.evaluate("""async () => {
        const root = await navigator.storage.getDirectory();
        for await (const name of root.keys()) await root.removeEntry(name, { recursive: true });
    }""")
    assert tab.evaluate(LOOK_AGAIN)[2] == [{"what": "log-lost", "repaired": 3}]
    assert tab.evaluate(LOGGED).count('"entry"') == 3


EVERY_STORE_GONE = """async () => {
    await deleteStore();
    localStorage.clear();
    const root = await navigator.storage.getDirectory();
    for await (const name of root.keys()) await root.removeEntry(name, { recursive: true });
}"""
TICK_AND_TELL = """async () => {
    const keep = await open();
    const outcome = await keep.append(entry());
    keep.close();
    return [outcome, keep.trouble.map(({ what }) => what)];
}"""


def test_stores_that_are_all_empty_where_something_was_ticked_are_told_and_take_nothing_in_this_session(tab):
    tab.evaluate(THREE_TICKS)
    tab.evaluate(EVERY_STORE_GONE)
    refused = {"kept": False, "why": "suspect", "mirrored": True}
    assert tab.evaluate(TICK_AND_TELL) == [refused, ["all-lost", "store-stopped"]]
    tab.evaluate("() => sessionStorage.clear()")
    restart(tab)
    assert tab.evaluate(TICK_AND_TELL) == [{"kept": True, "mirrored": True}, []]


def test_a_phone_on_which_nothing_was_ticked_has_lost_nothing(tab):
    tab.evaluate("async () => (await open()).close()")
    tab.evaluate(EVERY_STORE_GONE)
    assert tab.evaluate(TICK_AND_TELL) == [{"kept": True, "mirrored": True}, []]


def test_a_store_that_lost_something_beside_a_log_that_forgot_takes_nothing_in_this_session(tab):
    tab.evaluate(THREE_TICKS)
    tab.evaluate("""async () => {
        await meddle('entries', (shelf) => shelf.clear());
        const root = await navigator.storage.getDirectory();
        for await (const name of root.keys()) await root.removeEntry(name, { recursive: true });
    }""")
    outcome, trouble = tab.evaluate(TICK_AND_TELL)
    assert outcome["kept"] is False and outcome["why"] == "suspect"
    assert trouble == ["store-empty-mirror-not", "log-lost", "store-stopped"]


def test_a_wiped_job_leaves_the_log_and_the_others_stay(tab):
    tab.evaluate(THREE_TICKS)
    tab.evaluate("""async () => {
        const keep = await open();
        await keep.append(entry({ id: 'other', job: 'J-2' }));
        await keep.wipe('J-1');
        keep.close();
    }""")
    text = tab.evaluate(LOGGED)
    assert '"other"' in text and '"id":"a"' not in text
    assert tab.evaluate(LOOK_AGAIN)[0] == []


def test_a_log_that_takes_nothing_is_told_and_the_store_alone_keeps_the_next_try(tab):
    outcome = tab.evaluate("""async () => {
        const keep = await open({ Worker: fakes.WorkerThatDies });
        const first = await keep.append(entry({ id: 'a' }));
        const second = await keep.again();
        return [first, second, (await keep.append(entry({ id: 'b' }))).kept, keep.trouble];
    }""")
    refused = {"kept": False, "why": "io", "mirrored": True}
    assert outcome == [refused, {"kept": True, "mirrored": True}, True, [{"what": "log-stopped", "why": "io"}]]


def test_a_log_that_takes_nothing_of_what_it_lacks_at_the_start_is_told_and_the_page_starts(tab):
    tab.evaluate(THREE_TICKS)
    outcome, trouble = tab.evaluate("""async () => {
        const keep = await open({ Worker: fakes.WorkerThatDies });
        const outcome = await keep.append(entry({ id: 'd' }));
        keep.close();
        return [outcome, keep.trouble];
    }""")
    assert outcome == {"kept": True, "mirrored": True}
    assert trouble == [{"what": "log-stopped", "why": "io"}, {"what": "log-lost", "repaired": 0}]


def test_without_a_log_a_store_that_had_lost_something_takes_nothing_more_until_the_browser_was_closed(tab):
    tab.evaluate(WITHOUT_LOG)
    tab.evaluate(THREE_TICKS)
    tab.evaluate("() => meddle('entries', (shelf) => shelf.clear())")
    refused = {"kept": False, "why": "suspect", "mirrored": True}
    look = """async () => {
        const keep = await open();
        const outcome = await keep.append(entry());
        keep.close();
        return [outcome, keep.trouble.map(({ what }) => what)];
    }"""
    assert tab.evaluate(look) == [refused, ["store-empty-mirror-not", "store-stopped"]]
    restart(tab)
    tab.evaluate(WITHOUT_LOG)
    assert tab.evaluate(look) == [refused, ["store-stopped"]]
    tab.evaluate("() => sessionStorage.clear()")
    restart(tab)
    tab.evaluate(WITHOUT_LOG)
    outcome, trouble = tab.evaluate(look)
    assert outcome["kept"] and trouble == []


# --- a full mirror --------------------------------------------------------------------------------------------------

FULL = """async () => {
    fillUp(8000);
    const keep = await open();
    const outcomes = [];
    for (const job of ['J-1', 'J-2', 'J-3']) {
        for (let i = 0; i < 6; i += 1) outcomes.push(await keep.append(entry({ job, value: 'x'.repeat(200) })));
    }
    keep.close();
    return [outcomes.every(({ kept, mirrored }) => kept && mirrored), keep.trouble];
}"""


def test_the_job_not_touched_longest_leaves_a_full_mirror_first_and_is_told(tab):
    all_kept, trouble = tab.evaluate(FULL)
    assert all_kept
    assert trouble[0] == {"what": "mirror-left", "job": "J-1", "entries": 6}
    mirrored = tab.evaluate("() => mirrorKeys()")
    assert not any(":J-1:" in key for key in mirrored)
    assert sum(":J-3:" in key for key in mirrored) == 6
    assert tab.evaluate("async () => (await (await open()).journal('J-1')).length") == 6


def test_a_job_that_left_the_mirror_is_not_told_again_and_not_taken_for_damage(tab):
    tab.evaluate(FULL)
    assert tab.evaluate("async () => (await open()).trouble") == []


def test_a_job_that_left_comes_back_whole_once_it_is_touched_and_there_is_room(tab):
    tab.evaluate(FULL)
    tab.evaluate("""async () => {
        localStorage.removeItem('filler');
        const keep = await open();
        await keep.append(entry({ job: 'J-1' }));
        keep.close();
        (await open()).close();
    }""")
    assert tab.evaluate("() => mirrorKeys().filter((key) => key.includes(':J-1:')).length") == 7


def test_a_lost_store_says_which_jobs_only_it_had(tab):
    tab.evaluate("() => { globalThis.lacking = { storage: null }; }")
    tab.evaluate(FULL)
    assert tab.evaluate("deleteStore")
    trouble = findings(tab.evaluate("async () => (await open()).trouble"))
    assert "J-1" in trouble["entries-missing"]["jobs"]
    assert trouble["entries-missing"]["atMost"] >= 6


def test_a_mirror_with_no_room_at_all_is_said_and_the_entry_is_kept(tab):
    outcome = tab.evaluate("""async () => {
        const keep = await open();
        fillUp(0);
        return keep.append(entry({ value: 'x'.repeat(500) }));
    }""")
    assert outcome == {"kept": True, "mirrored": False}


# --- refused --------------------------------------------------------------------------------------------------------

BLOCK = """
for (const name of %s) {
    Object.defineProperty(globalThis, name, { get: () => { throw new DOMException('denied', 'SecurityError'); } });
}
"""
EVERYTHING = ["indexedDB", "localStorage", "sessionStorage", "BroadcastChannel"]


def test_with_all_site_data_blocked_it_starts_works_in_memory_and_says_so(context, visit):
    context.add_init_script(BLOCK % EVERYTHING)
    outcome, journal, setting, sheet, wiped, trouble = visit().evaluate("""async () => {
        const keep = await open();
        const outcome = await keep.append(entry({ id: 'a' }));
        const journal = [...await keep.journal('J-1'), ...keep.unkept('J-1')].map(({ id }) => id);
        await keep.setSetting('device', 'bay-2');
        await keep.putSheet(await digest('{}'), '{}');
        const sheet = await keep.sheet(await digest('{}'));
        const wiped = await keep.wipe('J-1');
        return [outcome, journal, await keep.setting('device'), sheet, wiped, keep.trouble];
    }""")
    assert outcome == {"kept": False, "why": "blocked", "mirrored": False}
    assert journal == ["a", "a"]
    assert (setting, sheet) == ("bay-2", "{}")
    assert wiped == {"wiped": False, "why": "blocked"}
    assert set(findings(trouble)) == {"store-blocked", "mirror-blocked"}


def test_an_open_that_is_denied_is_blocked(tab):
    outcome = tab.evaluate("""async () => {
        const denied = { open: () => {
            const request = { error: new DOMException('denied', 'UnknownError') };
            setTimeout(() => request.onerror());
            return request;
        } };
        const keep = await open({ indexedDB: denied });
        return [await keep.append(entry()), keep.trouble];
    }""")
    assert outcome == [{"kept": False, "why": "blocked", "mirrored": True}, [{"what": "store-blocked"}]]


def test_what_only_the_mirror_took_is_kept_at_the_next_start(tab):
    tab.evaluate("""async () => {
        const keep = await open({ indexedDB: null });
        await keep.append(entry({ id: 'a' }));
        keep.close();
    }""")
    assert tab.evaluate(LOOK_AGAIN)[0] == ["a"]
    assert tab.evaluate(STORED) == ["a"]


@pytest.mark.parametrize("store", ["fakes.silent", "fakes.failing({ end: fakes.never })"])
def test_a_store_that_never_answers_is_not_kept_when_the_watchdog_barks(tab, store):
    outcome, barked, listed, trouble = tab.evaluate(f"""async () => {{
        const keep = await open({{ indexedDB: {store}, watchdogMs: 120 }});
        const begun = performance.now();
        const outcome = await keep.append(entry());
        const barked = performance.now() - begun;
        return [outcome, barked, (await keep.jobs()).length, keep.trouble];
    }}""")
    assert outcome == {"kept": False, "why": "timeout", "mirrored": True}
    assert 100 < barked < 2000
    assert listed == 1
    assert trouble == [{"what": "store-refuses", "why": "timeout"}]


def test_a_store_that_was_waited_for_in_vain_is_not_waited_for_by_each_read_again(tab):
    first, others = tab.evaluate("""async () => {
        const timed = async (work) => {
            const begun = performance.now();
            await work();
            return performance.now() - begun;
        };
        let keep;
        const first = await timed(async () => { keep = await open({ indexedDB: fakes.silent, watchdogMs: 200 }); });
        const others = await timed(async () => { for (const name of 'abcdefgh') await keep.setting(name); });
        return [first, others];
    }""")
    assert first > 900, "a store that opens slowly after a sudden death is waited for once"
    assert others < 1600, "eight reads at a second each keep the page from standing"


def test_a_page_that_is_left_gives_up_what_is_under_way_and_goes_on_when_it_is_brought_back(tab):
    left, begun, again = tab.evaluate("""async () => {
        const plan = {};
        const keep = await open({ indexedDB: fakes.failing(plan), againMs: 50 });
        plan.end = fakes.never;
        const started = performance.now();
        const underWay = keep.append(entry({ id: 'a' }));
        while (!plan.writes || !keep.unkept('J-1').length) await new Promise((done) => setTimeout(done, 5));
        dispatchEvent(new PageTransitionEvent('pagehide', { persisted: false }));
        const left = { ...await underWay, ms: performance.now() - started, trouble: keep.trouble };
        const writes = plan.writes;
        const { kept } = await keep.append(entry({ id: 'b' }));
        const begun = { kept, writes: plan.writes - writes, trouble: keep.trouble };
        plan.end = null;
        dispatchEvent(new PageTransitionEvent('pageshow', { persisted: true }));
        for (let i = 0; i < 400 && keep.unkept('J-1').length; i += 1) await new Promise((done) => setTimeout(done, 5));
        return [left, begun, [keep.unkept('J-1').length, (await keep.journal('J-1')).length, keep.trouble]];
    }""")
    assert left.pop("ms") < 1500, "the watchdog need not bark"
    assert left == {"kept": False, "why": "abort", "mirrored": True, "trouble": []}
    assert begun == {"kept": False, "writes": 0, "trouble": []}
    assert again == [0, 2, []]


def test_the_same_entry_offered_again_is_kept_once(tab):
    outcomes = tab.evaluate("""async () => {
        const plan = { end: fakes.never };
        const keep = await open({ indexedDB: fakes.failing(plan), watchdogMs: 120 });
        const made = entry();
        const first = await keep.append(made);
        plan.end = null;
        const unkept = keep.unkept('J-1').length;
        const again = await keep.append(made);
        return [first.kept, unkept, again.kept, keep.unkept('J-1').length, (await keep.journal('J-1')).length];
    }""")
    assert outcomes == [False, 1, True, 0, 1]


def test_a_full_store_is_said_and_taken_up_again_once_there_is_room(tab, context, pages):
    session = context.new_cdp_session(tab)
    origin = pages.url("").rstrip("/")
    session.send("Storage.overrideQuotaForOrigin", {"origin": origin, "quotaSize": 1})
    full = tab.evaluate("""async () => {
        globalThis.keep = await open();
        return [await keep.append(entry({ id: 'a' })), keep.trouble];
    }""")
    assert full == [
        {"kept": False, "why": "full", "mirrored": True},
        [{"what": "store-refuses", "why": "full"}],
    ]
    session.send("Storage.overrideQuotaForOrigin", {"origin": origin})
    tab.wait_for_function("async () => (await keep.append(entry({ id: 'b', lamport: 1 }))).kept")
    assert sorted(tab.evaluate(STORED)) == ["a", "b"]
    assert tab.evaluate("keep.trouble") == []


def test_what_was_not_kept_is_tried_again_by_itself_and_told_when_it_is_kept(tab):
    told = tab.evaluate("""async () => {
        const plan = { end: fakes.abortWith('AbortError') };
        const keep = await open({ indexedDB: fakes.failing(plan), againMs: 50 });
        await keep.append(entry({ id: 'a' }));
        const before = keep.unkept('J-1').length;
        const heard = new Promise((resolve) => keep.onOther(resolve));
        plan.end = null;
        return [before, await heard, keep.unkept('J-1').length, keep.trouble];
    }""")
    assert told == [1, {"job": "J-1"}, 0, []]
    assert tab.evaluate(STORED) == ["a"]


def test_an_entry_takes_along_what_was_not_kept_before_it(tab):
    outcome = tab.evaluate("""async () => {
        const plan = { end: fakes.abortWith('AbortError') };
        const keep = await open({ indexedDB: fakes.failing(plan), localStorage: null });
        for (const id of ['a', 'b']) await keep.append(entry({ id }));
        plan.end = null;
        const before = plan.writes;
        await keep.append(entry({ id: 'c' }));
        return [plan.writes - before, keep.unkept('J-1').length];
    }""")
    assert outcome == [1, 0]
    assert tab.evaluate(STORED) == ["a", "b", "c"]


def test_what_only_the_mirror_holds_is_not_kept_for_another_tab_either(visit):
    here, there = visit(), visit()
    there.evaluate("async () => { globalThis.keep = await open({ againMs: 1e9 }); }")
    here.evaluate("async () => (await open({ indexedDB: null })).append(entry({ id: 'a' }))")
    unkept = """async () => {
        const ids = (await keep.journal('J-1')).map(({ id }) => id);
        return [ids, keep.unkept('J-1').length];
    }"""
    there.wait_for_function("async () => (await keep.journal('J-1')).length > 0")
    assert there.evaluate(unkept) == [["a"], 1]
    there.evaluate("keep.again()")
    assert there.evaluate(unkept) == [["a"], 0]


# --- a store that does not open -------------------------------------------------------------------------------------

NEWER = """async () => {
    await deleteStore();
    await new Promise((resolve) => {
        const request = indexedDB.open('handturn:lower-lane%2F', 2);
        request.onupgradeneeded = () => {
            request.result.createObjectStore('entries', { keyPath: 'id' }).put({ id: 'newer' });
        };
        request.onsuccess = () => { request.result.close(); resolve(); };
    });
}"""
TORN = NEWER.replace(", 2)", ", 1)")
UNTOUCHED = """async () => new Promise((resolve) => {
    const request = indexedDB.open('handturn:lower-lane%2F');
    request.onsuccess = () => {
        const all = request.result.transaction('entries').objectStore('entries').getAll();
        all.onsuccess = () => resolve([request.result.version, all.result]);
    };
})"""


@pytest.mark.parametrize(("made", "version", "why"), [(NEWER, 2, "newer"), (TORN, 1, "shelves")])
def test_a_store_that_cannot_be_used_is_set_aside_and_told_and_the_mirror_fills_the_one_beside_it(
    tab, made, version, why
):
    tab.evaluate(THREE_TICKS)
    tab.evaluate(made)
    ids, setting, trouble = tab.evaluate(LOOK_AGAIN)
    assert (ids, setting) == (["a", "b", "c"], "bay-2")
    assert trouble == [{"what": "store-set-aside", "why": why}]
    tab.evaluate(
        "async () => { const keep = await open(); await keep.append(entry({ id: 'd', lamport: 9 })); keep.close(); }"
    )
    assert tab.evaluate(STORED) == ["a", "b", "c", "d"]
    assert tab.evaluate(UNTOUCHED) == [version, [{"id": "newer"}]]


def test_a_store_that_does_not_open_for_another_reason_is_never_written_and_told(tab):
    outcome = tab.evaluate("""async () => {
        let opened = 0;
        const torn = { open: () => {
            opened += 1;
            const request = { error: new DOMException('Internal error opening backing store.', 'UnknownError') };
            setTimeout(() => request.onerror());
            return request;
        } };
        const keep = await open({ indexedDB: torn, againMs: 20 });
        const answer = await keep.append(entry());
        const before = opened;
        await new Promise((resolve) => { setTimeout(resolve, 120); });
        return [answer, opened - before, keep.trouble];
    }""")
    refused = {"kept": False, "why": "unopened", "mirrored": True}
    assert outcome == [refused, 0, [{"what": "store-refuses", "why": "unopened"}]]


# --- coming back ------------------------------------------------------------------------------------------------------

COME_BACK = "() => dispatchEvent(new PageTransitionEvent('pageshow', { persisted: true }))"


def test_a_page_that_comes_back_as_it_was_left_asks_for_every_job_and_for_the_stop(tab):
    assert tab.evaluate(f"""async () => {{
        const keep = await open();
        const heard = new Promise((resolve) => keep.onOther(resolve));
        sessionStorage.setItem('handturn:stopped', 'io');
        ({COME_BACK})();
        return [await heard, (await keep.append(entry())).why, keep.trouble];
    }}""") == [{"job": None}, "io", [{"what": "store-stopped", "why": "io"}]]


SAVE = """async () => {
    const keep = await open();
    await keep.append(entry({ id: 'a' }));
    keep.close();
    globalThis.saved = { ...localStorage };
}"""


def test_an_older_copy_of_either_leg_loses_and_doubles_nothing(tab):
    """The store goes back to one entry, then the mirror does. Each time the other copy repairs it."""
    tab.evaluate(SAVE)
    tab.evaluate(
        "async () => { const keep = await open(); await keep.append(entry({ id: 'b', lamport: 2 })); keep.close(); }"
    )
    tab.evaluate("""async () => {
        await meddle('entries', (shelf) => shelf.delete(IDBKeyRange.bound(['J-1', 'b'], ['J-1', 'b', []])));
        await meddle('notes', (shelf) => shelf.put({ name: 'count', value: 1 }));
    }""")
    ids, _, trouble = tab.evaluate(LOOK_AGAIN)
    assert ids == ["a", "b"] and findings(trouble)["store-behind"]["repaired"] == 1
    tab.evaluate("() => { localStorage.clear(); Object.assign(localStorage, saved); }")
    ids, _, trouble = tab.evaluate(LOOK_AGAIN)
    assert ids == ["a", "b"] and findings(trouble)["mirror-behind"]["repaired"] == 1
    assert tab.evaluate(LOOK_AGAIN)[2] == []


# --- after an I/O error ---------------------------------------------------------------------------------------------

BREAK = """async ([name, message]) => {
    const plan = {};
    const keep = await open({ indexedDB: fakes.failing(plan) });
    await keep.append(entry({ id: 'a' }));
    plan.end = fakes.abortWith(name, message);
    const broken = await keep.append(entry({ id: 'b' }));
    plan.end = null;
    const before = plan.writes;
    const after = await keep.append(entry({ id: 'c' }));
    return [broken, after, plan.writes - before, keep.trouble];
}"""
COUNT_WRITES = """async () => {
    const plan = {};
    const keep = await open({ indexedDB: fakes.failing(plan) });
    const outcome = await keep.append(entry({ id: 'd' }));
    const ids = (await keep.journal('J-1')).map(({ id }) => id);
    keep.close();
    return [outcome, plan.writes ?? 0, ids, keep.trouble];
}"""


@pytest.mark.parametrize(
    ("name", "message", "why"),
    [
        ("UnknownError", "Internal error.", "io"),
        ("UnknownError", "Internal error: FILE_ERROR_NO_SPACE", "full"),
        ("NotReadableError", "Data lost", "io"),
    ],
)
def test_after_an_io_error_only_the_mirror_is_written(tab, name, message, why):
    broken, after, writes, trouble = tab.evaluate(BREAK, [name, message])
    refused = {"kept": False, "why": why, "mirrored": True}
    assert (broken, after, writes) == (refused, refused, 0)
    assert trouble == [{"what": "store-stopped", "why": why}]


def test_a_reload_still_writes_nothing_to_the_store_after_an_io_error(tab):
    tab.evaluate(BREAK, ["UnknownError", ""])
    restart(tab)
    outcome, writes, ids, trouble = tab.evaluate(COUNT_WRITES)
    assert (outcome, writes) == ({"kept": False, "why": "io", "mirrored": True}, 0)
    assert sorted(ids) == ["a", "b", "c", "d"]
    assert trouble[0] == {"what": "store-stopped", "why": "io"}
    assert "store-behind" not in findings(trouble)  # the store never had them, so that is not damage


def test_the_next_browser_session_brings_home_what_the_mirror_took(tab):
    tab.evaluate(BREAK, ["UnknownError", ""])
    tab.evaluate("() => sessionStorage.clear()")
    restart(tab)
    outcome, writes, ids, trouble = tab.evaluate(COUNT_WRITES)
    assert outcome["kept"] and writes > 0 and sorted(ids) == ["a", "b", "c", "d"]
    assert trouble == []
    assert sorted(tab.evaluate(STORED)) == ["a", "b", "c", "d"]


def test_an_io_error_in_one_tab_stops_the_others_of_every_shop(visit):
    here, there = visit(), visit()
    there.evaluate("async () => { globalThis.keep = await open({ scope: 'upper-lane/' }); }")
    here.evaluate(BREAK, ["UnknownError", ""])
    there.wait_for_function("keep.trouble.length")
    assert there.evaluate("() => keep.append(entry())") == {"kept": False, "why": "io", "mirrored": True}
    late = visit()
    late.evaluate("async () => { globalThis.keep = await open(); }")
    late.wait_for_function("keep.trouble.some(({ what }) => what === 'store-stopped')")
    assert not late.evaluate("() => keep.append(entry())")["kept"]


@pytest.mark.parametrize("end", ["fakes.abortWith('AbortError')", "fakes.abortWith(null)"])
def test_an_abort_without_a_disk_error_is_said_and_the_next_entry_is_written(tab, end):
    outcomes = tab.evaluate(f"""async () => {{
        const plan = {{}};
        const keep = await open({{ indexedDB: fakes.failing(plan) }});
        plan.end = {end};
        const aborted = await keep.append(entry());
        plan.end = null;
        return [aborted, await keep.append(entry()), keep.trouble];
    }}""")
    assert outcomes == [
        {"kept": False, "why": "abort", "mirrored": True},
        {"kept": True, "mirrored": True},
        [],
    ]


CLOSE = """async (end) => {
    const plan = {};
    const keep = await open({ indexedDB: fakes.failing(plan) });
    plan.end = { never: fakes.never, abort: fakes.abortWith('AbortError'), none: null }[end];
    const writing = keep.append(entry());
    await (end === 'never' ? new Promise((resolve) => setTimeout(resolve, 50)) : writing);
    plan.db.onclose();
    plan.end = null;
    return [(await writing).why ?? null, (await keep.append(entry())).kept, keep.trouble];
}"""


@pytest.mark.parametrize(("end", "why"), [("never", "closed"), ("abort", "abort")])
def test_a_store_that_closes_under_a_failing_write_is_left_alone(tab, end, why):
    assert tab.evaluate(CLOSE, end) == [why, False, [{"what": "store-stopped", "why": "closed"}]]


def test_a_store_that_closes_at_rest_is_opened_again(tab):
    assert tab.evaluate(CLOSE, "none") == [None, True, []]


def test_a_store_that_a_sleeping_phone_closed_without_a_word_is_opened_again(tab):
    outcome = tab.evaluate("""async () => {
        const plan = {};
        const keep = await open({ indexedDB: fakes.failing(plan) });
        plan.db.close();
        return [await keep.append(entry()), keep.trouble];
    }""")
    assert outcome == [{"kept": True, "mirrored": True}, []]


def test_a_store_that_is_found_closed_after_a_failing_write_is_left_alone(tab):
    outcome = tab.evaluate("""async () => {
        const plan = {};
        const keep = await open({ indexedDB: fakes.failing(plan) });
        plan.end = fakes.abortWith('AbortError');
        await keep.append(entry());
        plan.end = null;
        plan.db.close();
        return [await keep.append(entry()), keep.trouble];
    }""")
    assert outcome == [
        {"kept": False, "why": "closed", "mirrored": True},
        [{"what": "store-stopped", "why": "closed"}],
    ]


def test_a_store_cleared_under_an_open_page_keeps_the_next_entry(tab, context, pages):
    # The keep's own connection is older, so it hears of its end before the connection that is made here.
    tab.evaluate("""async () => {
        globalThis.keep = await open();
        await keep.append(entry({ id: 'a' }));
        const [{ name }] = await indexedDB.databases();
        const beside = await new Promise((done) => {
            indexedDB.open(name).onsuccess = ({ target }) => done(target.result);
        });
        globalThis.cleared = new Promise((done) => { beside.onclose = () => done(); });
    }""")
    context.new_cdp_session(tab).send(
        "Storage.clearDataForOrigin", {"origin": pages.url("").rstrip("/"), "storageTypes": "indexeddb"}
    )
    tab.evaluate("() => cleared")
    assert tab.evaluate("() => keep.append(entry({ id: 'b' }))") == {"kept": True, "mirrored": True}
    assert sorted(tab.evaluate(LOOK_AGAIN)[0]) == ["a", "b"]


# --- wiping ---------------------------------------------------------------------------------------------------------


def test_a_wiped_job_is_gone_from_both_legs_and_the_others_stay(tab):
    jobs, keys = tab.evaluate("""async () => {
        const keep = await open();
        await keep.union(['J-1', 'J-1', 'J-2'].map((job) => entry({ job })));
        const { wiped } = await keep.wipe('J-1');
        keep.close();
        return [wiped && (await (await open()).jobs()).map(({ job }) => job), mirrorKeys()];
    }""")
    assert jobs == ["J-2"]
    assert len(keys) == 1


def test_a_wiped_job_does_not_come_back_from_a_mirror_that_forgot_the_wiping(tab):
    tab.evaluate(THREE_TICKS)
    ids, trouble, keys = tab.evaluate("""async () => {
        const before = { ...localStorage };
        const keep = await open();
        await keep.wipe('J-1');
        keep.close();
        localStorage.clear();
        for (const [key, text] of Object.entries(before)) localStorage.setItem(key, text);
        const later = await open();
        return [await later.journal('J-1'), later.trouble, mirrorKeys()];
    }""")
    assert (ids, trouble, keys) == ([], [], [])


def test_a_wiped_job_comes_back_when_it_is_brought_again(tab):
    outcome, length = tab.evaluate("""async () => {
        const keep = await open();
        const made = times(3, () => entry());
        await keep.union(made);
        await keep.wipe('J-1');
        const outcome = await keep.union(made);
        keep.close();
        return [outcome, (await (await open()).journal('J-1')).length];
    }""")
    assert outcome == {"kept": True, "mirrored": True, "added": 3, "had": 0}
    assert length == 3


def test_a_job_wiped_while_the_store_must_be_left_alone_stays_gone_but_for_what_came_later(tab):
    tab.evaluate(BREAK, ["UnknownError", ""])
    restart(tab)
    outcome, jobs, journal = tab.evaluate("""async () => {
        const keep = await open();
        const found = [await keep.wipe('J-1'), await keep.jobs(), await keep.journal('J-1')];
        await keep.append(entry({ id: 'later' }));
        return found;
    }""")
    assert (outcome, jobs, journal) == ({"wiped": False, "why": "io"}, [], [])
    tab.evaluate("() => sessionStorage.clear()")
    restart(tab)
    assert tab.evaluate(LOOK_AGAIN)[0] == ["later"]
    assert tab.evaluate(STORED) == ["later"]


def test_a_wiping_that_failed_is_done_at_the_next_start_and_spares_what_came_later(tab):
    outcomes = tab.evaluate("""async () => {
        const plan = {};
        const keep = await open({ indexedDB: fakes.failing(plan) });
        await keep.append(entry());
        plan.end = fakes.abortWith('AbortError');
        const wiped = await keep.wipe('J-1');
        plan.end = null;
        const later = await keep.append(entry({ id: 'later' }));
        keep.close();
        return [wiped, later.kept];
    }""")
    assert outcomes == [{"wiped": False, "why": "abort"}, True]
    assert tab.evaluate(LOOK_AGAIN) == [["later"], None, []]
    assert tab.evaluate(STORED) == ["later"]


# --- sheets and settings --------------------------------------------------------------------------------------------


def test_a_sheet_comes_back_exactly_and_only_under_its_own_digest(tab):
    answers = tab.evaluate("""async () => {
        const keep = await open();
        const text = '{"title":"Größe"}';
        const put = [await keep.putSheet(await digest(text), text), await keep.putSheet('0'.repeat(64), text)];
        keep.close();
        const later = await open();
        return [...put, await later.sheet(await digest(text)) === text, await later.sheet('0'.repeat(64))];
    }""")
    assert answers == [{"kept": True}, {"kept": False, "why": "digest"}, True, None]


def test_a_damaged_sheet_is_not_given_out_and_told(tab):
    text, trouble, name = tab.evaluate("""async () => {
        const name = await digest('{}');
        const keep = await open();
        await keep.putSheet(name, '{}');
        await meddle('sheets', (shelf) => shelf.put({ digest: name, text: '{"torque":1}' }));
        await caches.delete('handturn:lower-lane/ sheets');
        return [await keep.sheet(name), keep.trouble, name];
    }""")
    assert text is None
    assert trouble == [{"what": "sheet-damaged", "digest": name}]


@pytest.mark.parametrize(
    "harm",
    [
        "keep.close(); await deleteStore(); keep = await open()",
        "await meddle('sheets', (shelf) => shelf.clear())",
        "await meddle('sheets', (shelf) => shelf.put({ digest: name, text: '{\"torque\":1}' }))",
    ],
)
def test_a_sheet_that_the_store_lost_comes_from_its_second_home_and_the_store_is_mended(tab, harm):
    found = tab.evaluate(f"""async () => {{
        const name = await digest('{{}}');
        let keep = await open();
        await keep.putSheet(name, '{{}}');
        {harm};
        const text = await keep.sheet(name);
        await caches.delete('handturn:lower-lane/ sheets');
        return [text, await (await open()).sheet(name)];
    }}""")
    assert found == ["{}", "{}"]


def test_what_a_second_home_holds_under_a_wrong_digest_is_not_given_out(tab):
    assert (
        tab.evaluate("""async () => {
        const name = await digest('{}');
        const cache = await caches.open('handturn:lower-lane/ sheets');
        await cache.put(`/handturn-sheet/${name}`, new Response('{"torque":1}'));
        return (await open()).sheet(name);
    }""")
        is None
    )


def test_a_sheet_from_before_there_was_a_second_home_is_put_there_when_it_is_read(tab):
    assert (
        tab.evaluate("""async () => {
        const name = await digest('{}');
        const before = await open({ caches: null });
        await before.putSheet(name, '{}');
        await (await open()).sheet(name);
        for (;;) {
            const kept = await caches.match(`/handturn-sheet/${name}`, { cacheName: 'handturn:lower-lane/ sheets' });
            if (kept) return kept.text();
        }
    }""")
        == "{}"
    )


def test_a_sheet_goes_with_the_last_job_that_names_it(tab):
    left = tab.evaluate("""async () => {
        const [one, both] = [await digest('1'), await digest('2')];
        const keep = await open();
        await keep.putSheet(one, '1');
        await keep.putSheet(both, '2');
        await keep.append(entry({ job: 'J-1', sheet: one }));
        await keep.append(entry({ job: 'J-1', sheet: both }));
        await keep.append(entry({ job: 'J-2', sheet: both }));
        await keep.wipe('J-1');
        const first = [await keep.sheet(one), await keep.sheet(both)];
        await keep.wipe('J-2');
        const cache = await caches.open('handturn:lower-lane/ sheets');
        const sheets = (await cache.keys()).filter(({ url }) => !url.endsWith('/ticked'));
        return [...first, await keep.sheet(both), sheets.length];
    }""")
    assert left == [None, "2", None, 0]


def test_settings_and_pins_stay_and_the_later_word_counts_when_one_leg_went_back(tab):
    answers = tab.evaluate("""async () => {
        const keep = await open();
        const none = [await keep.setting('who'), await keep.pins()];
        await keep.setSetting('who', 'KS');
        await keep.setPins(['belt', 'pump']);
        await keep.setSetting('who', 'RT');
        keep.close();
        await meddle('settings', (shelf) => shelf.put({ name: 'who', value: 'KS', n: 1 }));
        const storeBack = await (await open()).setting('who');
        await meddle('settings', (shelf) => shelf.put({ name: 'who', value: 'RT', n: 2 }));
        localStorage.clear();
        const later = await open();
        return [none, storeBack, await later.setting('who'), await later.pins()];
    }""")
    assert answers == [[None, []], "RT", "RT", ["belt", "pump"]]


# --- digests --------------------------------------------------------------------------------------------------------

TEXTS = ["", "abc", "Größe 7 mm €", "x" * 1000, '{"a":1}']


@pytest.mark.parametrize("host", ["127.0.0.1", INSECURE_HOST])
def test_a_digest_is_sha256_with_and_without_the_browsers_own(visit, host):
    tab = visit(host=host)
    assert tab.evaluate("isSecureContext") == (host != INSECURE_HOST)
    assert tab.evaluate("(texts) => Promise.all(texts.map(digest))", TEXTS) == [
        hashlib.sha256(text.encode()).hexdigest() for text in TEXTS
    ]


def test_plain_http_keeps_entries_too(visit):
    tab = visit(host=INSECURE_HOST)
    tab.evaluate(THREE_TICKS)
    restart(tab)
    assert tab.evaluate(LOOK_AGAIN) == [["a", "b", "c"], "bay-2", []]


def test_canonical_text_does_not_depend_on_the_order_of_keys(tab):
    texts = tab.evaluate("""() => [
        canonical({ b: [2, { d: null, c: 'ä' }], a: 1, 10: 'x', 9: 'y', gone: undefined }),
        canonical({ 9: 'y', 10: 'x', a: 1, b: [2, { c: 'ä', d: null }] }),
    ]""")
    assert texts == ['{"10":"x","9":"y","a":1,"b":[2,{"c":"ä","d":null}]}'] * 2
