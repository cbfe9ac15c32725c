"""What a phone promises before a job starts, and how the browser is asked to spare what is saved."""

import pytest

PROMISED = """async facts => {
  const { promised, isFirm, inTheOpen, isInstallFirst } = await import('/phone/keep/promise.js');
  const { PROMISE } = await import('/phone/words/promise.js');
  const offline = { state: 'ready', whole: true };
  const keys = promised({ trouble: [], agreed: false, asked: false, canAsk: true, offline, ...facts });
  if (keys.some(key => !PROMISE[key])) throw new Error(`no words for ${keys}`);
  return { keys, firm: isFirm(keys), open: inTheOpen(keys) };
}"""


def promised(phone, *trouble, **facts):
    return phone.evaluate(PROMISED, {"trouble": [{"what": what} for what in trouble], **facts})


# --- what is promised ------------------------------------------------------------------------------------------------


def test_a_sound_phone_promises_two_stores_and_names_what_it_cannot_see(phone):
    said = promised(phone)
    assert said["keys"] == ["kept-twice", "unseen", "not-asked", "full", "unused", "offline-ready"]
    assert said["open"] == ["kept-twice", "unseen", "full"] and said["firm"]


def test_without_a_third_store_it_says_before_the_first_tick_what_an_empty_battery_may_cost(phone):
    said = promised(phone, log=False)
    assert said["open"] == ["kept-twice", "no-log", "unseen", "full"] and said["firm"]
    assert "no-log" not in promised(phone, "store-stopped", log=False)["keys"]


@pytest.mark.parametrize("what", ["store-blocked", "store-refuses", "store-stopped"])
def test_without_the_main_store_nothing_is_firm_and_the_stops_ask_for_a_file(phone, what):
    said = promised(phone, what)
    assert said["keys"][:2] == ["second-only", "stops-ask"] and not said["firm"]


def test_without_any_store_it_says_that_nothing_outlives_the_page_and_speaks_of_no_clearing(phone):
    said = promised(phone, "store-blocked", "mirror-blocked")
    assert said["keys"] == ["nothing", "stops-ask", "offline-ready"] and not said["firm"]


def test_without_a_second_store_ticks_are_still_kept(phone):
    assert promised(phone, "mirror-blocked")["keys"][0] == "kept-once" and promised(phone, "mirror-blocked")["firm"]


@pytest.mark.parametrize(
    ("facts", "key"),
    [
        ({"agreed": True}, "agreed"),
        ({"agreed": True, "asked": True}, "agreed"),
        ({"asked": True}, "not-agreed"),
        ({}, "not-asked"),
        ({"canAsk": False}, "cannot-ask"),
    ],
)
def test_the_browsers_answer_is_said_in_the_open_once_there_is_one(phone, facts, key):
    said = promised(phone, **facts)
    assert said["keys"][2] == key
    assert (key in said["open"]) == (key in {"agreed", "not-agreed"})


@pytest.mark.parametrize(
    ("offline", "key"),
    [
        ({"state": "update-waiting", "whole": True}, "offline-ready"),
        ({"state": "loading"}, "offline-later"),
        ({"state": "broken", "whole": False}, "offline-later"),
        ({"state": "none", "whole": False}, "offline-never"),
    ],
)
def test_whether_it_opens_without_a_network_is_part_of_the_promise(phone, offline, key):
    assert promised(phone, offline=offline)["keys"][-1] == key


def test_every_sentence_is_said_of_some_phone(phone):
    troubles = ([], ["mirror-blocked"], ["store-stopped"], ["store-blocked", "mirror-blocked"])
    answers = ({"agreed": True}, {"asked": True}, {}, {"canAsk": False})
    states = ({"state": "none"}, {"state": "loading"}, {"whole": True})
    said = {
        key
        for trouble in troubles
        for answer in answers
        for offline in states
        for log in (True, False)
        for key in promised(phone, *trouble, **answer, log=log, offline=offline)["keys"]
    }
    assert said == set(phone.evaluate("async () => Object.keys((await import('/phone/words/promise.js')).PROMISE)"))


@pytest.mark.parametrize(
    ("jobs", "from_home", "secure", "first"),
    [(0, False, True, True), (1, False, True, False), (0, True, True, False), (0, False, False, False)],
)
def test_the_home_screen_is_offered_before_the_first_job_alone(phone, jobs, from_home, secure, first):
    facts = {"jobs": jobs, "fromHome": from_home, "secure": secure}
    assert (
        phone.evaluate("async facts => (await import('/phone/keep/promise.js')).isInstallFirst(facts)", facts) == first
    )


# --- asking the browser ----------------------------------------------------------------------------------------------

LASTING = """async ({ persisted, persist, stored, ticks, fromHome, none }) => {
  const { openLasting } = await import('/phone/keep/lasting.js');
  const settings = { ...stored };
  const calls = [];
  const throws = () => { throw new Error('not here'); };
  const answers = { yes: () => true, no: () => false, throws, never: () => new Promise(() => {}) };
  const storage = none ? null : {
    persisted: async () => answers[persisted ?? 'no'](),
    persist: async () => { calls.push('asked'); return answers[persist ?? 'no'](); },
  };
  const keep = {
    setting: async (name) => settings[name] ?? null,
    setSetting: async (name, value) => { settings[name] = value; return { kept: true }; },
  };
  const pause = () => new Promise((resolve) => setTimeout(resolve, 5));
  const lasting = openLasting({ keep, storage, fromHome: Boolean(fromHome) });
  await pause();
  for (let i = 0; i < (ticks ?? 0); i += 1) { lasting.afterTick(); await pause(); }
  return { ...lasting.facts(), calls: calls.length, settings };
}"""


def lasting(phone, **given):
    return phone.evaluate(LASTING, given)


def test_the_browser_is_not_asked_before_the_first_tick(phone):
    assert lasting(phone) == {"agreed": False, "asked": False, "canAsk": True, "calls": 0, "settings": {}}


@pytest.mark.parametrize(("answer", "agreed"), [("yes", True), ("no", False)])
def test_it_is_asked_once_after_the_first_tick_and_the_answer_kept(phone, answer, agreed):
    said = lasting(phone, persist=answer, ticks=3)
    assert said["calls"] == 1 and said["asked"] and said["agreed"] == agreed
    assert said["settings"] == {"lasting": {"agreed": agreed}}


def test_a_phone_that_was_answered_is_not_asked_again_and_reads_how_it_stands_now(phone):
    said = lasting(phone, stored={"lasting": {"agreed": False}}, persisted="yes", ticks=2)
    assert said["calls"] == 0 and said["asked"] and said["agreed"]


def test_what_the_browser_spares_already_is_not_asked_for(phone):
    assert lasting(phone, persisted="yes", ticks=2)["calls"] == 0


def test_from_the_home_screen_it_is_asked_once_more(phone):
    said = lasting(phone, stored={"lasting": {"agreed": False}}, fromHome=True, persist="yes", ticks=2)
    assert said["calls"] == 1 and said["agreed"]


def test_a_browser_that_cannot_be_asked_is_never_asked(phone):
    assert lasting(phone, none=True, ticks=2) == {
        "agreed": False, "asked": False, "canAsk": False, "calls": 0, "settings": {}
    }  # fmt: skip


@pytest.mark.parametrize("fault", ["throws", "never"])
def test_a_browser_that_throws_or_never_answers_stops_nothing(phone, fault):
    said = lasting(phone, persisted=fault, persist=fault, ticks=2)
    assert said["calls"] == 1 and not said["asked"] and said["settings"] == {}
