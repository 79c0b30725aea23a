"""The text of a page in its final form: one order of headings, pictures as files, links that stay inside the folder.

It knows HTML and files, and no cells: ``markup`` has made the text before, and ``pages`` writes what is gathered here.
"""

import base64
import io
import re
from pathlib import PurePosixPath
from urllib.parse import unquote

from bs4 import BeautifulSoup
from PIL import Image

#: Files that a link may bring into the folder, and the largest of them.
COPIED, COPIED_BYTES = {".toml", ".csv", ".svg", ".png", ".txt"}, 200_000
#: First word of a paragraph -> what it is.
KINDS = {"Figure": "caption", "Guess": "guess", "Caution": "caution", "Cautions": "caution"}


def settle(text, lesson, names):
    """Give headings, tables, pictures and links their final form.

    Parameters
    ----------
    text : str [-]
        HTML of the page's text.
    lesson : Lesson [-]
        Says where the notebook stands, and takes the files that its text needs.
    names : set of str [-]
        Notebooks that have a page.

    Returns
    -------
    BeautifulSoup [-]
        The text.
    """
    soup = BeautifulSoup(text, "html.parser")
    _headings(soup)
    for paragraph in soup.find_all("p"):
        first = next((child for child in paragraph.children if str(child).strip()), None)
        if getattr(first, "name", None) == "strong" and (kind := KINDS.get(re.split(r"[ .]", first.get_text())[0])):
            after = paragraph.find_next_sibling()
            if paragraph.get_text().rstrip().endswith(":") and after is not None and after.name in ("ol", "ul"):
                paragraph = paragraph.wrap(soup.new_tag("div"))
                paragraph.append(after)
            paragraph["class"] = kind
    for table in soup.find_all("table"):
        for cell in table.select("thead th"):
            cell["scope"] = "col"
            if not cell.get_text(strip=True):
                cell.name = "td"
                del cell["scope"]
        table.wrap(soup.new_tag("div", attrs={"class": "scroll"}))
    for picture in soup.find_all("img"):
        _settle_picture(picture, lesson)
    for link in soup.find_all("a"):
        _settle_link(link, lesson, names)
    return soup


def _headings(soup):
    """One h1, no level left out, a name for each; the overview at the top links to them."""
    level, taken = 0, set()
    for heading in soup.find_all(re.compile("^h[1-6]$")):
        level = 1 if not level else min(max(int(heading.name[1]), 2), level + 1)
        heading.name, name = f"h{level}", "-".join(heading.get_text().split())
        while name in taken:
            name += "-again"
        taken.add(name)
        heading["id"] = name
    places = {re.sub(r"^\d+\.\s*", "", h.get_text()).strip(): h["id"] for h in soup.find_all("h2")}
    for items in soup.find_all("ol", limit=1):
        for item in items.find_all("li"):
            if target := places.get(item.get_text().strip()):
                link = soup.new_tag("a", href=f"#{target}")
                link.extend(list(item.contents))
                item.append(link)
                items["class"] = "toc"


def _settle_picture(picture, lesson):
    source = picture.get("src", "")
    found = re.match(r"data:image/([a-z]+)[^,]*;base64,(.*)", source, re.S)
    if found:
        content, ending = base64.b64decode(found[2]), found[1].replace("jpeg", "jpg")
        number = sum(name.startswith(f"pictures/{lesson.name}-") for name in lesson.files) + 1
        picture["src"] = f"pictures/{lesson.name}-{number:02d}.{ending}"
        lesson.files[picture["src"]] = content
        if not picture.get("width") and ending != "svg":  # a drawing has its own size
            with Image.open(io.BytesIO(content)) as image:
                dots = image.info.get("dpi", (96, 96))
                picture["width"], picture["height"] = (round(96 * n / d) for n, d in zip(image.size, dots, strict=True))
    elif copied := _copied(source, lesson):
        picture["src"] = copied
    else:
        picture.name, picture.string = "em", f"(picture: {picture.get('alt') or 'not here'})"
        picture.attrs = {}
        return
    picture["loading"] = "lazy"
    picture["alt"] = picture.get("alt") or "Picture without a description"


def _settle_link(link, lesson, names):
    """Links stay inside the folder: to a page, to a copied file; others become text."""
    target = link.get("href", "")
    path, _, place = target.partition("#")
    name = PurePosixPath(unquote(path)).stem
    if not path and place:
        return
    if path.endswith((".ipynb", ".html")) and name in names:
        link["href"] = f"{name}.html" + (f"#{place}" if place else "")
    elif ":" not in path and (copied := _copied(path, lesson)):
        link["href"] = copied
    else:
        if re.match("https?:", target) and target not in link.get_text():
            link.append(f" ({target})")
        link.unwrap()


def _copied(path, lesson):
    """Name in the folder of a small file of the course, or None."""
    file = (lesson.folder / unquote(path)).resolve() if path and ":" not in path else None
    if not file or not file.is_file() or not file.is_relative_to(lesson.folder.resolve().parent):
        return None
    if file.suffix not in COPIED or file.stat().st_size > COPIED_BYTES:
        return None
    name = f"files/{file.name}"
    lesson.files[name] = file.read_bytes()
    return name
