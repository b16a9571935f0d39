"""The poster: where a class finds the pages while they are served, to project or to print."""

import html

from antlab.classroom.paper import pages, qr


def poster(site, paper="auto"):
    """Return a page of HTML: the QR codes of site, "http://192.168.1.5:8080/", and of each view's page there.

    Each code says to which lessons it belongs. paper: as a style sheet calls it.
    """
    items = [
        f'<li>{qr.svg(f"{site}{name}.html")}<p class="of">{_of(name)}</p>'
        f"<p>{html.escape(view.title)}</p></li>"
        for name, view in pages.views().items()
    ]
    given = {"mark": pages.OURS, "site": html.escape(site), "code": qr.svg(site), "paper": paper}
    return _POSTER.format(items="\n".join(items), **given)


def _of(name):
    """To which lessons a view belongs, in words."""
    numbers = pages.numbers().get(name, ())
    return f"Lesson{'s' * (len(numbers) > 1)} {', '.join(numbers)}" if numbers else "More"


_POSTER = """<!doctype html>
<html lang="en">
<head>
<meta charset="utf-8">
<meta name="viewport" content="width=device-width, initial-scale=1">
{mark}
<meta http-equiv="Content-Security-Policy" content="default-src 'none'; style-src 'unsafe-inline'">
<title>antlab poster</title>
<style>
@page {{ size: {paper}; margin: 12mm }}
body {{ margin: 0 auto; max-width: 1180px; padding: 0 16px; font: 20px/1.35 Verdana, sans-serif; color: #111;
 background: #fff }}
h1 {{ font-size: 2.2em; margin: 0.4em 0 }}
h2 {{ font-size: 1.3em; margin: 1em 0 0.4em }}
.big {{ display: flex; gap: 40px; align-items: center }}
.big svg {{ flex: none; width: 440px; max-width: 45vw }}
.big ol {{ margin: 0; padding-left: 1.2em; font-size: 1.25em }}
.big li {{ margin: 0.5em 0 }}
.address {{ font: bold min(2.3em, 4.8vw)/1.2 "DejaVu Sans Mono", Consolas, Menlo, monospace;
 margin: 0.2em 0 }}
.each {{ display: grid; grid-template-columns: repeat(auto-fill, minmax(180px, 1fr)); gap: 16px; margin: 0;
 padding: 0; list-style: none }}
.each li {{ break-inside: avoid }}
.each p {{ margin: 0; font-size: 0.8em; text-align: center }}
.each .of {{ font-weight: bold; font-size: 1em }}
@media print {{
 body {{ font-size: 11pt; padding: 0 }}
 h1 {{ font-size: 22pt; margin: 0 }}
 .big {{ gap: 8mm }}
 .big svg {{ width: 62mm }}
 .big ol {{ font-size: 13pt }}
 .address {{ font-size: 22pt }}
 .each {{ grid-template-columns: repeat(5, 1fr); gap: 3mm }}
 .each p {{ font-size: 8.5pt }}
 .each .of {{ font-size: 11pt }}
}}
@media (max-width: 600px) {{
 h1 {{ font-size: 1.5em }}
 .big {{ display: block }}
 .big svg {{ max-width: 100% }}
}}
</style>
</head>
<body>
<main>
<h1>Antenna pictures on your phone</h1>
<div class="big">
{code}
<ol>
<li>Join the wireless network of this room.</li>
<li>Point your phone’s camera at the code, or type the address below.</li>
<li>Choose the picture of tonight’s lesson, and drag it.</li>
</ol>
</div>
<p class="address">{site}</p>
<h2>Straight to one picture</h2>
<ul class="each">
{items}
</ul>
</main>
</body>
</html>
"""
