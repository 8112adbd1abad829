"""`sparehand share` as a person types it."""

from __future__ import annotations

from pathlib import Path

import pytest

from sharing.shop import Shop
from sparehand.cli import main
from sparehand.settings import set_value


def shares(shop: Shop, folder: Path, login: str, *options: str) -> None:
    with pytest.raises(SystemExit) as stop:
        main(["share", shop.server.url(shop.database, login), "--data", str(folder), *options])
    assert not stop.value.code


def test_two_benches_share_by_the_command_line(shop: Shop, tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    shop.bench(tmp_path / "one").works()
    set_value(tmp_path / "one", "bench", "bay one")
    shares(shop, tmp_path / "one", "bay_one")
    assert "7 rows sent, 0 phase times" in capsys.readouterr().out
    shares(shop, tmp_path / "two", "bay_two")
    assert "0 rows sent, 1 phase times of other benches fetched" in capsys.readouterr().out
