"""The pages' server from its first moment: the kernels' template loads while the server itself does.

    python -m inrushlib.serve.start FOLDER OPTION...

The template wants what a page wants, the server what a server wants: neither has to wait for the other's.
"""

from __future__ import annotations

from inrushlib.serve.forked import Template


def main() -> None:
    """Begin the template, then load and run the server."""
    template = Template()
    template.load()
    from inrushlib.serve import kernels, pages  # seconds, in which the template loads

    kernels.Kernels.loading = template
    pages.serve()


if __name__ == "__main__":
    main()
