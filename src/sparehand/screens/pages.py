"""The templates of pages: everything that is put into one is escaped, and nothing may be missing."""

from __future__ import annotations

from jinja2 import Environment, PackageLoader, StrictUndefined, Template

from sparehand.ground.plurals import how_many


def page_template(name: str) -> Template:
    """The template of that file name."""
    environment = Environment(
        loader=PackageLoader("sparehand", "screens/templates"),
        autoescape=True,
        undefined=StrictUndefined,
        trim_blocks=True,
        lstrip_blocks=True,
    )
    environment.globals["how_many"] = how_many
    return environment.get_template(name)
