"""Restart, run all and save notebooks: ``python tests/run_notebooks.py [notebooks/01_straight_line.ipynb ...]``.

Saves outputs and execution counts, and neither time stamps nor widget state, so that a run without changes leaves the
files as they are.
"""

import sys
from pathlib import Path

import nbformat
from nbclient import NotebookClient

#: A saved view without its model would show an error line until the cell is run; the words of the panel stay.
VIEW = "application/vnd.jupyter.widget-view+json"
FOLDER = Path(__file__).parents[1] / "notebooks"


def run(path):
    """Run one notebook in its own folder and save it in place; an error in a cell stops the run and saves nothing."""
    notebook = nbformat.read(path, as_version=4)
    client = NotebookClient(
        notebook,
        timeout=300,
        kernel_name="python3",
        resources={"metadata": {"path": str(path.parent)}},
        record_timing=False,
        coalesce_streams=True,
        store_widget_state=False,
    )
    client.execute()
    notebook.metadata.pop("widgets", None)
    for cell in notebook.cells:
        for output in cell.get("outputs", []):
            output.get("data", {}).pop(VIEW, None)
    notebook.metadata["language_info"] = {"name": "python"}
    text = nbformat.writes(notebook, indent=1)
    path.write_text(text if text.endswith("\n") else text + "\n", encoding="utf-8", newline="\n")


if __name__ == "__main__":
    for name in sys.argv[1:] or sorted(FOLDER.glob("*.ipynb")):
        run(Path(name))
        print(f"ran and saved {name}")
