"""A document as the bytes of a file of the kind asked for."""

from __future__ import annotations

from anchorage.paper.blocks import Document


def rendered(document: Document, kind: str) -> bytes:
    """A document as PDF or HTML."""
    if kind == ".pdf":
        from anchorage.paper.pdf import pdf  # noqa: PLC0415 - only who wants paper pays for it

        return pdf(document)
    from anchorage.paper.html import html  # noqa: PLC0415 - the same

    return html(document).encode("utf-8")
