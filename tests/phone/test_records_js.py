"""Records of entries, and the list of jobs that comes of them: pure, so no store is needed to say what a job has."""

LISTED = "async ([stamps, records]) => (await import('/phone/keep/records.js')).listJobs(stamps, records)"
READ = """async (texts) => {
  const { entriesIn } = await import('/phone/keep/records.js');
  const told = [];
  const found = entriesIn(texts.map((text, at) => ({ job: 'J', id: String(at), text })), (about) => told.push(about));
  return [found.map(({ id }) => id), told];
}"""
MADE = """async (entries) => {
  const { recordOf } = await import('/phone/keep/records.js');
  return Promise.all(entries.map(recordOf));
}"""


def record(job, name, mark="m"):
    return {"job": job, "id": name, "mark": mark}


def listed(phone, stamps, records):
    return phone.evaluate(LISTED, [stamps, records])


def test_the_job_written_last_stands_first_and_a_repair_does_not_hide_when_a_person_touched_it(phone):
    stamps = [
        {"job": "a", "n": 3, "touched": 50},
        {"job": "b", "n": 9, "touched": 40},
        {"job": "a", "n": 12, "touched": None},
    ]
    assert listed(phone, stamps, []) == [
        {"job": "a", "entries": 0, "touched": 50},
        {"job": "b", "entries": 0, "touched": 40},
    ]


def test_a_record_in_two_copies_counts_once_another_content_counts_too_and_a_job_without_a_stamp_is_not_listed(phone):
    records = [
        record("a", "1"),
        record("a", "1"),
        record("a", "1", "other"),
        record("__proto__", "1"),
        record("b", "1"),
    ]
    stamps = [{"job": "a", "n": 1, "touched": None}, {"job": "__proto__", "n": 2, "touched": 7}]
    assert listed(phone, stamps, records) == [
        {"job": "__proto__", "entries": 1, "touched": 7},
        {"job": "a", "entries": 2, "touched": None},
    ]


def test_entries_come_in_their_turn_and_a_text_that_is_none_is_told_and_costs_no_other(phone):
    texts = [
        '{"id": "c", "lamport": 2, "writer": "a"}',
        '{"id": "b", "lamport": 1, "writer": "b"}',
        '{"id": "a", "lam',
        '{"id": "d", "lamport": 1, "writer": "a"}',
        '{"id": "a", "lamport": 2, "writer": "a"}',
    ]
    told = [{"what": "entry-unreadable", "job": "J", "id": "2"}]
    assert phone.evaluate(READ, texts) == [["d", "b", "a", "c"], told]


def test_a_record_is_marked_by_what_it_says_and_not_by_the_order_it_was_written_in(phone):
    one = {"job": "J", "id": "1", "value": {"a": 1, "b": 2}}
    same = {"value": {"b": 2, "a": 1}, "id": "1", "job": "J"}
    first, second, third = phone.evaluate(MADE, [one, same, {**one, "value": {"a": 2, "b": 2}}])
    assert first == second and first["id"] == third["id"] and first["mark"] != third["mark"]
    assert len(first["mark"]) == 16 and "n" not in first
