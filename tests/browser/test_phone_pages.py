"""Phone pages at phone size, from disk with no network and served to a room; touch, keys and mouse."""

import copy
import io
import threading
from contextlib import contextmanager

import numpy as np
import pytest
from film import agrees, said
from PIL import Image

from antlab.classroom import live
from antlab.classroom.paper import pages
from antlab.classroom.paper.poster import poster
from antlab.classroom.views.film import seen, spoken
from antlab.classroom.views.player import PHONE, View
from antlab.serve.page_server import PageServer

pytestmark = pytest.mark.browser


@pytest.fixture(scope="module", autouse=True)
def films():
    """A film that went into a page is not made again to be compared with what the page shows."""
    made, kept = View.film, {}

    def film(view, *given, **how):
        key = view.title, repr((given, how))
        if key not in kept:
            kept[key] = made(view, *given, **how)
        return copy.deepcopy(kept[key])

    with pytest.MonkeyPatch.context() as patch:
        patch.setattr(View, "film", film)
        yield


@pytest.fixture(scope="module")
def folder(tmp_path_factory):
    """All pages and the poster, written once."""
    folder = tmp_path_factory.mktemp("pages")
    pages.write_pages(folder, beside={"poster": poster("http://192.168.1.5:8080/")})
    return folder


@pytest.fixture
def site(folder):
    """The address at which this machine serves them."""
    written = {path.name: path.read_bytes() for path in folder.iterdir()}
    with PageServer(written, "127.0.0.1", 0) as server:
        thread = threading.Thread(target=server.serve_forever)
        thread.start()
        yield f"http://127.0.0.1:{server.server_port}/"
        server.shutdown()
        thread.join()


@contextmanager
def telephone(chromium, *, offline, local):
    """A page on a phone; afterwards: no error, and no request but for what begins like local."""
    context = chromium.new_context(
        viewport={"width": 390, "height": 844},
        device_scale_factor=2,
        has_touch=True,
        is_mobile=True,
        offline=offline,
    )
    page = context.new_page()
    errors = []
    page.on("console", lambda message: errors.append(message.text) if message.type == "error" else None)
    page.on("pageerror", lambda error: errors.append(str(error)))
    local = (*local, "blob:", "data:")
    page.on("request", lambda r: None if r.url.startswith(local) else errors.append(r.url))
    yield page
    context.close()
    assert not errors


@pytest.fixture
def phone(chromium):
    """A page on a phone without network."""
    with telephone(chromium, offline=True, local=["file:"]) as page:
        yield page


def test_height_by_finger(folder, phone):
    """From the index to the height page; a finger drags, and words and curves are those of that height."""
    phone.goto((folder / "index.html").as_uri())
    drags_the_height(phone)


def test_served_to_a_phone(site, chromium):
    """The same by the network of the room: the index at /, its links, the slider, and the way back."""
    with telephone(chromium, offline=False, local=[site]) as phone:
        assert phone.goto(site).headers["content-encoding"] == "gzip"
        drags_the_height(phone)
        assert phone.url == f"{site}height.html"
        phone.context.set_offline(True)  # what a page needs it has once it is there
        slider = phone.get_by_role("slider", name="Height (m)", exact=True)
        slider.press("Home")
        assert slider.input_value() == "0"
        phone.context.set_offline(False)
        phone.get_by_role("link", name="All pages").tap()
        phone.wait_for_url(f"{site}index.html")
        links = phone.get_by_role("link").all()
        assert len(links) == len(pages.views())
        for link in links:
            assert phone.request.get(site + link.get_attribute("href")).ok


@pytest.mark.parametrize("name", ["feed_line", "coax_trap"])
def test_full_screen(folder, phone, name):
    """All of the picture, its lowest axis too, is on the phone's screen; the words are below."""
    phone.goto((folder / f"{name}.html").as_uri())
    phone.get_by_role("button", name="Full screen").tap()
    phone.wait_for_function("document.fullscreenElement")
    phone.wait_for_timeout(300)
    picture, says = (phone.locator(f".antlab-{one}").bounding_box() for one in ("picture", "says"))
    assert picture["y"] > 0 and picture["y"] + picture["height"] <= 844 and picture["width"] > 340
    assert live.VIEWS[name].heard or says["y"] >= picture["y"] + picture["height"]


def test_a_phone_slides_right_above_the_picture(folder, phone):
    """Of many controls the one that is slid along comes last: its knob and all waves are on one screen."""
    phone.goto((folder / "feed_line.html").as_uri())
    picture, line = (phone.locator(one).bounding_box() for one in (".antlab-picture", ".antlab-slider"))
    assert all(
        one.bounding_box()["y"] < line["y"] for one in phone.locator(".antlab-named, .antlab-clock").all()
    )
    few = [one.bounding_box()["y"] for one in phone.locator("[aria-label=Condition] label").all()]
    assert len({*few}) == 1, "none of few names goes to a line of its own"
    assert 0 <= picture["y"] - line["y"] - line["height"] < 10
    assert picture["y"] + picture["height"] <= 844, (
        "with all controls, since no line is higher than its names"
    )


@pytest.mark.parametrize("name", ["feed_line", "coax_trap"])
def test_the_knob_is_whole(folder, page, name):
    """On a laptop, by the mouse, with all controls close together: its ring is there below as above."""
    page.set_viewport_size({"width": 1366, "height": 625})
    page.goto((folder / f"{name}.html").as_uri())
    page.locator(".antlab-beside .antlab-many input[type=range]").first.wait_for()
    box = page.locator(".antlab-many input[type=range]").first.bounding_box()
    clip = box | {"y": box["y"] - 4, "height": box["height"] + 8}
    seen = np.asarray(Image.open(io.BytesIO(page.screenshot(clip=clip))).convert("RGB")).astype(int)
    dark = (abs(seen - [11, 61, 145]).sum(axis=2) < 60).sum(axis=1)
    rows, middle = np.flatnonzero(dark), np.flatnonzero(dark == dark.max()).mean()
    assert rows[-1] - rows[0] >= 22, "large enough for a hand"
    assert rows[-1] - middle == pytest.approx(middle - rows[0], abs=1.5)


@pytest.mark.parametrize("size", [(390, 844), (1280, 800)])
def test_poster(folder, chromium, size):
    """From disk without network: its codes are there, black on white, and nothing is wider than the screen.

    On a projector the large code and the address stand on the first screen, code by 300 dots or more.
    """
    with telephone(chromium, offline=True, local=["file:"]) as page:
        page.set_viewport_size({"width": size[0], "height": size[1]})
        page.goto((folder / "poster.html").as_uri())
        codes = page.get_by_role("img", name="QR code: http://192.168.1.5:8080/")
        assert codes.count() == 1 + len(pages.views())
        assert page.evaluate("document.documentElement.scrollWidth <= innerWidth")
        large, address = codes.first.bounding_box(), page.locator(".address").bounding_box()
        assert large["width"] == pytest.approx(large["height"]) and large["width"] >= 300
        assert page.locator(".address").inner_text() == "http://192.168.1.5:8080/"
        if size[0] > 1000:
            assert max(large["y"] + large["height"], address["y"] + address["height"]) <= size[1]
        else:
            assert address["height"] < 40, "the address stands on one line"


def drags_the_height(phone):
    """From the index to the height page, and a finger on its slider."""
    phone.get_by_role("link", name="Height and takeoff angle").tap()
    root, slider = phone.locator(".antlab"), phone.get_by_role("slider", name="Height (m)", exact=True)
    view = pages.views()["height"]
    wanted, choices = view.settings(pages.calls()["height"])
    still, frames = view.film(PHONE, choices)
    agrees(root, still, frames, *view.places(wanted, choices))
    box = slider.bounding_box()
    y, at = box["y"] + box["height"] / 2, lambda share: box["x"] + box["width"] * share
    session = phone.context.new_cdp_session(phone)

    def finger(kind, *points):
        session.send("Input.dispatchTouchEvent", {"type": kind, "touchPoints": list(points)})

    finger("touchStart", {"x": at(80 / 280), "y": y})
    rows = []
    for share in (0.35, 0.5, 0.65, 0.8):
        finger("touchMove", {"x": at(share), "y": y})
        phone.wait_for_timeout(50)
        rows.append(int(slider.input_value()))
        agrees(root, still, frames, rows[-1])
    finger("touchEnd")
    assert rows == sorted(rows) and rows[-1] - rows[0] > 90
    slider.tap(position={"x": 20, "y": box["height"] / 2})
    assert int(slider.input_value()) < 30


def test_every_page_by_keys_and_mouse(folder, phone):
    """Each slider of each page, at both ends and one step back; nothing wider than the screen."""
    for name, view in pages.views().items():
        phone.goto((folder / f"{name}.html").as_uri())
        assert phone.evaluate("document.documentElement.scrollWidth <= innerWidth"), name
        assert not phone.get_by_role("button", name="Projector").count(), "a phone has none"
        root = phone.locator(".antlab")
        wanted, choices = view.settings(pages.calls().get(name, {}))
        still, frames = view.film(PHONE, choices)
        counts = [slider.count for slider in view.sliders(**choices)]
        at = view.places(wanted, choices)
        assert root.get_attribute("data-row") == str(next(seen(frames, at, counts))[1])
        named = [slider.named for slider in view.sliders(**choices)]
        groups = iter(root.get_by_role("radiogroup").all())
        for k in np.flatnonzero(named):
            for place, button in [*enumerate(next(groups).get_by_role("radio").all())][::-1]:
                button.check()
                at[k] = place
                assert said(root) == spoken(frames, at, counts)
        for k, slider in zip(np.flatnonzero(~np.array(named)), root.get_by_role("slider").all(), strict=True):
            slider.focus()
            for key, place in (("Home", 0), ("End", counts[k] - 1), ("ArrowLeft", counts[k] - 2)):
                phone.keyboard.press(key)
                at[k] = place
                assert said(root) == spoken(frames, at, counts)
            slider.click(position={"x": 60, "y": 20})
            at[k] = int(slider.input_value())
            there = [*seen(frames, at, counts)]
            agrees(root, still, frames, there[0][1], there)


def test_a_wide_window_has_the_wide_picture(folder, phone):
    """On a laptop the picture is as wide as a notebook's; made narrow it is the phone's again."""
    phone.set_viewport_size({"width": 1280, "height": 720})
    phone.goto((folder / "trap_dipole.html").as_uri())
    view, root = pages.views()["trap_dipole"], phone.locator(".antlab")
    wanted, choices = view.settings(pages.calls()["trap_dipole"])
    row = view.places(wanted, choices)[0]
    for look, wide in ((pages.WIDE, 1280), (PHONE, 390)):
        phone.set_viewport_size({"width": wide, "height": 720})
        still, frames = view.film(look, choices)
        root.locator(f"img[width='{still['width']}']").wait_for()
        phone.wait_for_timeout(200)
        assert root.locator(".antlab-picture").bounding_box()["width"] > 0.7 * wide
        agrees(root, still, frames, row)
        root.get_by_role("slider").press("ArrowRight")
        row += 1
        agrees(root, still, frames, row)
