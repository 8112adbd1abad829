"""Writes the software bill of materials of the environment it runs in, as CycloneDX JSON, to standard output.

Everything that Sparehand needs to run is listed with its version and licence, and what needs what.
"""

from __future__ import annotations

import sys
from importlib.metadata import Distribution, PackageNotFoundError, distribution

from cyclonedx.contrib.license.factories import LicenseFactory
from cyclonedx.model.bom import Bom
from cyclonedx.model.component import Component, ComponentType
from cyclonedx.output.json import JsonV1Dot6
from packaging.requirements import Requirement

ROOT = "sparehand"
NOT_IN_ITS_METADATA = {"espeakng-loader": "GPL-3.0-or-later"}
"""Licences that a wheel does not state of itself: read in its source."""


def bill_of_materials() -> Bom:
    """The bill of everything installed that ROOT needs, directly or through another."""
    bom = Bom()
    components = {name: _component(found) for name, found in _needed(ROOT).items()}
    bom.metadata.component = components[ROOT]
    for name, component in components.items():
        if name != ROOT:
            bom.components.add(component)
        bom.register_dependency(component, [components[other] for other in _requires(name) if other in components])
    return bom


def _needed(root: str) -> dict[str, Distribution]:
    found: dict[str, Distribution] = {}
    waiting = [root]
    while waiting:
        name = waiting.pop()
        if name in found:
            continue
        try:
            found[name] = distribution(name)
        except PackageNotFoundError:
            continue  # needed on another system only
        waiting += _requires(name)
    return found


def _requires(name: str) -> list[str]:
    wanted = [Requirement(text) for text in distribution(name).requires or ()]
    return sorted({one.name.lower().replace("_", "-") for one in wanted if one.marker is None or one.marker.evaluate()})


def _component(found: Distribution) -> Component:
    metadata = found.metadata
    stated = metadata.get("License-Expression") or _classified(metadata.get_all("Classifier") or [])
    licence = stated or _first_line(metadata.get("License")) or NOT_IN_ITS_METADATA.get(metadata["Name"], "not stated")
    return Component(
        name=metadata["Name"],
        version=found.version,
        type=ComponentType.APPLICATION if metadata["Name"] == ROOT else ComponentType.LIBRARY,
        bom_ref=f"{metadata['Name']}-{found.version}",
        licenses=[LicenseFactory().make_from_string(licence)],
    )


def _classified(classifiers: list[str]) -> str:
    told = [one.rsplit(" :: ", 1)[-1] for one in classifiers if one.startswith("License :: ")]
    return told[0] if told else ""


def _first_line(text: str | None) -> str:
    return (text or "").strip().splitlines()[0] if (text or "").strip() else ""


if __name__ == "__main__":
    sys.stdout.write(JsonV1Dot6(bill_of_materials()).output_as_string(indent=2))
