"""Phone pages: opened from disk at phone size with no network; touch, keys and mouse."""

import pytest
from film import agrees

from antlab.classroom import pages
from antlab.classroom.player import PHONE

pytestmark = pytest.mark.browser


@pytest.fixture(scope="module")
def folder(tmp_path_factory):
    """All pages, written once."""
    folder = tmp_path_factory.mktemp("pages")
    pages.write_pages(folder)
    return folder


@pytest.fixture
def phone(chromium):
    """A page on a phone without network."""
    context = chromium.new_context(
        viewport={"width": 390, "height": 760},
        device_scale_factor=2,
        has_touch=True,
        is_mobile=True,
        offline=True,
    )
    page = context.new_page()
    errors = []
    page.on("console", lambda message: errors.append(message.text) if message.type == "error" else None)
    page.on("pageerror", lambda error: errors.append(str(error)))
    page.on(
        "request", lambda r: None if r.url.startswith(("file:", "blob:", "data:")) else errors.append(r.url)
    )
    yield page
    context.close()
    assert not errors


def test_height_by_finger(folder, phone):
    """From the index to the height page; a finger drags, and words and curves are those of that height."""
    phone.goto((folder / "index.html").as_uri())
    phone.get_by_role("link", name="Height and takeoff angle").tap()
    root, slider = phone.locator(".antlab"), phone.get_by_role("slider", name="Height (m)", exact=True)
    still, frames = pages.views()["height"].film(PHONE, pages.views()["height"].defaults)
    agrees(root, still, frames, 80)
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
        root = phone.locator(".antlab")
        still, frames = view.film(PHONE, view.defaults)
        counts = [slider.count for slider in view.sliders(**view.defaults)]
        at = view.places({}, view.defaults)
        assert root.get_attribute("data-row") == str(row_of(at, counts))
        for k, slider in enumerate(root.get_by_role("slider").all()):
            slider.focus()
            for key, place in (("Home", 0), ("End", counts[k] - 1), ("ArrowLeft", counts[k] - 2)):
                phone.keyboard.press(key)
                at[k] = place
                assert root.locator(".antlab-says").inner_text() == frames["says"][row_of(at, counts)]
            slider.click(position={"x": 60, "y": 20})
            at[k] = int(slider.input_value())
            agrees(root, still, frames, row_of(at, counts))


def row_of(at, counts):
    """Row of the table for the places of the sliders."""
    row = 0
    for place, count in zip(at, counts, strict=True):
        row = row * count + place
    return row
