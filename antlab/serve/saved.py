"""What a saved notebook keeps of a live view."""

WIDGET = "application/vnd.jupyter.widget-view+json"


def in_words(*, model, **_):
    """Before a notebook is saved, leave of each widget only its words.

    Its picture lives in the kernel; opened tomorrow, the notebook would say "model not found" in its place.
    model: Jupyter's contents model, changed where it lies.
    """
    if model["type"] != "notebook" or not model.get("content"):
        return
    content = model["content"]
    content["metadata"].pop("widgets", None)
    for cell in content["cells"]:
        for output in cell.get("outputs", []):
            if "text/plain" in output.get("data", {}):
                output["data"].pop(WIDGET, None)
