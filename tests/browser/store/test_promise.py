"""What a phone promises before a job starts, on the screen."""

import pytest

from tests.browser import bays
from tests.support import demo

pytestmark = pytest.mark.browser

shop, phone, bay = bays.shop, bays.phone, bays.bay


def open_form(bay):
    bay.serve(demo.sheet("inline-four"))
    bay.drive.open(f"w/{demo.sheet('inline-four')['worksheet']}/")
    return bay.page


def test_the_promise_stands_between_the_last_box_and_the_button(bay):
    page = open_form(bay)
    order = page.evaluate("""() => {
      const at = (query) => document.querySelector(query).getBoundingClientRect().top;
      return [at('[data-field=role]'), at('[data-promise=kept-twice]'), at('[data-action=start]')];
    }""")
    assert order == sorted(order)
    assert page.locator("[data-promise=unseen]").is_visible()
    assert not page.locator("[data-promise=unused]").is_visible(), "the rest waits behind a line"


def test_the_home_screen_is_offered_until_there_is_a_job(bay):
    page = open_form(bay)
    assert page.locator("[data-promise=home]").is_visible()
    bay.begin(demo.sheet("inline-four"))
    page.goto(bay.drive.site + "jobs/")
    bay.drive.ready()
    assert page.locator("[data-promise=kept-twice]").is_visible()
    assert not page.locator("[data-promise=home]").is_visible()


ANSWERED = """async () => {
  const [{ name }] = await indexedDB.databases();
  const db = await new Promise((resolve) => {
    indexedDB.open(name).onsuccess = ({ target }) => resolve(target.result);
  });
  const noted = await new Promise((resolve) => {
    const asked = db.transaction('settings').objectStore('settings').get('lasting');
    asked.onsuccess = () => resolve(asked.result !== undefined);
  });
  db.close();
  return noted;
}"""


def test_the_answer_to_the_first_tick_stands_on_the_page_of_jobs_and_above_the_next_start(bay):
    drive = bay.begin(demo.sheet("inline-four"))
    drive.close(drive.next())
    # Nobody waits for the browser's answer. If the page is left before it comes, the next tick asks again.
    bay.page.wait_for_function(ANSWERED)
    for path in ("jobs/", f"w/{demo.sheet('inline-four')['worksheet']}/"):
        bay.page.goto(drive.site + path)
        drive.ready()
        bay.page.locator("[data-promise=not-agreed]").wait_for()
