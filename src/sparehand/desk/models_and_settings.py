"""What a bench keeps ready: speech models, settings, and the machine itself."""

from __future__ import annotations

import sys
from pathlib import Path

from rich.progress import BarColumn, DownloadColumn, Progress, TextColumn

from sparehand.ground.places import MODELS_FOLDER, data_folder
from sparehand.ground.terminal import new_console
from sparehand.settings import load_settings, set_value


def print_models(data: Path | None) -> None:
    """Each model of the catalogue: its language, licence and size, and whether it is installed and whole."""
    from sparehand.voice.models.model_store import list_models

    for status in list_models(data_folder(data) / MODELS_FOLDER):
        stands = status.fault or (f"installed in {status.folder}" if status.folder else "not installed")
        print(f"{status.model.language}  {status.model.name}, {status.model.licence}: {stands}")


def get(language: str, data: Path | None) -> None:
    """Fetch and install a model, with a bar that shows how far it is."""
    from sparehand.voice.models.model_download import get_model

    columns = (TextColumn("fetching"), BarColumn(), DownloadColumn())
    with Progress(*columns, console=new_console(stderr=True)) as bar:
        task = bar.add_task(language, total=None)
        folder = get_model(
            language,
            data_folder(data) / MODELS_FOLDER,
            lambda done, total: bar.update(task, completed=done, total=total),
        )
    print(f"Installed: {folder}")


def add(language: str, source: Path, data: Path | None) -> None:
    """Install a model from its archive or its unpacked folder."""
    from sparehand.voice.models.model_store import add_model

    print(f"Installed: {add_model(language, source, data_folder(data) / MODELS_FOLDER)}")


def remove(language: str, data: Path | None) -> None:
    """Remove an installed model."""
    from sparehand.voice.models.model_store import remove_model

    print(f"Removed: {remove_model(language, data_folder(data) / MODELS_FOLDER)}")


def print_settings(data: Path | None) -> None:
    """Every setting, a line each."""
    for key, value in load_settings(data_folder(data)).model_dump().items():
        print(f"{key} = {'(default)' if value is None else value}")


def set_setting(key: str, value: str, data: Path | None) -> None:
    """Change one setting and show it."""
    changed = set_value(data_folder(data), key, value)
    print(f"{key} = {getattr(changed, key)}")


def print_selfcheck(*, as_json: bool, microphone: bool, data: Path | None) -> int:
    """What this machine has, with a trial of the microphone if asked; the exit code is 0 where a job can be run."""
    from sparehand.setup.selfcheck import selfcheck

    folder = data_folder(data)
    report = selfcheck(folder)
    if microphone:
        from sparehand.setup.device_trials import Devices
        from sparehand.setup.microphone_check import check_microphone

        tried = check_microphone(load_settings(folder), Devices(folder), lambda line: print(line, file=sys.stderr))
        report = report.model_copy(update={"items": (*report.items, tried)})
    print(report.model_dump_json() if as_json else "\n".join(report.lines()))
    return 0 if report.can_run_a_job else 1
