"""A show of hands as teacher and two phones see it: asked, closed, talked over, asked again, told."""

import threading
from contextlib import ExitStack, contextmanager

import pytest

from antlab.classroom.paper import hands
from antlab.serve.hands import Room
from antlab.serve.page_server import PageServer

pytestmark = pytest.mark.browser


@contextmanager
def served(ask):
    """The address of a server that asks."""
    with PageServer({}, "127.0.0.1", 0, ask=ask) as server:
        thread = threading.Thread(target=server.serve_forever)
        thread.start()
        try:
            yield f"http://127.0.0.1:{server.server_port}"
        finally:
            server.shutdown()
            thread.join()


@contextmanager
def screen(chromium, errors, wide, high):
    """A browser of its own, so with a storage of its own, in which no script fails."""
    with chromium.new_context(viewport={"width": wide, "height": high}, has_touch=True) as context:
        page = context.new_page()
        page.add_init_script("const wait = setTimeout; setTimeout = (act, ms) => wait(act, ms / 4);")
        page.on("pageerror", lambda error: errors.append(str(error)))
        yield page


def test_a_question_in_two_rounds(chromium, tmp_path):
    """Protects the evening: what is pressed is counted once, nothing tells the answer before it is shown,

    and everything fits its screen.
    """
    errors = []
    with ExitStack() as stack:
        room = Room(tmp_path, hands.guesses())
        door = stack.enter_context(served(room.door)) + room.door_path
        desk = stack.enter_context(served(room.desk)) + room.desk_path
        room.pages = {
            "door": hands.phone_page().encode(),
            "desk": hands.desk_page(door, room.guesses).encode(),
        }
        teacher, one, other = (
            stack.enter_context(screen(chromium, errors, *size))
            for size in ((1280, 720), (390, 844), (390, 844))
        )
        step = lambda name: teacher.get_by_role("button", name=name).click()  # noqa: E731
        teacher.goto(desk), one.goto(door)
        teacher.get_by_label("Lesson").select_option("03")
        step("Put it up"), step("Open it")
        other.goto(door)  # a phone that is late
        one.get_by_role("radio", name="A It still").tap(), other.get_by_role("radio", name="C It acts").tap()
        one.get_by_text("A is counted.").wait_for()
        one.get_by_role("radio", name="B Nothing").tap()
        one.get_by_text("B is counted.").wait_for(), other.get_by_text("C is counted.").wait_for()
        assert (
            one.locator("#buttons button").evaluate_all("all => Math.min(...all.map(x => x.clientHeight))")
            >= 72
        )
        one.reload()  # a phone that leaves and returns
        one.get_by_text("B is counted.").wait_for()
        teacher.get_by_text("2 answered, 2 phones here").wait_for()
        teacher.reload()
        step("Close it"), step("Let them talk")
        other.get_by_text("You said C. Find somebody").wait_for()
        one.get_by_text("You said B. Find somebody").wait_for()
        assert (
            "It is" not in one.content().partition("<script>")[0]
            and not one.locator("#buttons button").count()
        )
        step("Ask again")
        for phone in (one, other):
            phone.get_by_role("radio", name="D It acts").tap()
            phone.get_by_text("D is counted.").wait_for()
        step("Close it"), step("Show the bars")
        teacher.locator(".bar").nth(7).wait_for()
        bars = teacher.locator(".bar").evaluate_all("all => all.map(bar => bar.textContent)")
        assert bars == ["0", "0", "1", "0", "1", "0", "0", "2"] and "✓" not in teacher.inner_text("main")
        step("Show which is right")
        teacher.get_by_text("✓ right").wait_for()
        one.get_by_role("heading", name="It is D").wait_for()
        one.get_by_text("You said B first, then D.").wait_for()
        for page in (teacher, one, other):
            assert page.evaluate("document.documentElement.scrollWidth <= innerWidth")
            assert page.evaluate("document.documentElement.scrollHeight <= innerHeight")
        one.set_viewport_size({"width": 844, "height": 390})
        assert one.evaluate("document.documentElement.scrollWidth <= innerWidth")
    assert not errors and room.asked[0].counts() == [{"B": 1, "C": 1}, {"D": 2}]
