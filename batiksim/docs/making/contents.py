"""The order of the site: the lists of pages in index.md, which are written once, for readers on disk as well."""

from docutils import nodes
from sphinx import addnodes
from sphinx.application import Sphinx
from sphinx.transforms import SphinxTransform
from sphinx.util.typing import ExtensionMetadata


class Contents(SphinxTransform):
    """A table of contents behind each section of the index, of the pages that it lists."""

    default_priority = 200

    def apply(self) -> None:
        """Add them."""
        if self.env.docname != self.config.root_doc:
            return
        for section in list(self.document.findall(nodes.section)):
            listed = [
                link["reftarget"]
                for part in section.children
                if isinstance(part, nodes.bullet_list | nodes.enumerated_list)
                for link in part.findall(addnodes.pending_xref)
                if link["refdomain"] == "doc"
            ]
            if listed:
                section.append(self.toctree(section[0].astext(), listed))

    def toctree(self, caption: str, pages: list[str]) -> nodes.Node:
        """A hidden table of contents."""
        return addnodes.toctree(
            "",
            parent=self.env.docname,
            entries=[(None, page) for page in pages],
            includefiles=pages,
            caption=caption,
            rawcaption=caption,
            maxdepth=-1,
            hidden=True,
            glob=False,
            titlesonly=False,
            includehidden=False,
            numbered=0,
        )


def setup(app: Sphinx) -> ExtensionMetadata:
    """Read the index in this way."""
    app.add_transform(Contents)
    return {"parallel_read_safe": True, "parallel_write_safe": True}
