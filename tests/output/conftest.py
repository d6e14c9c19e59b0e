"""The real browser that opens pages as a grower's does."""

from __future__ import annotations

import hashlib
import os
import shutil
from pathlib import Path
from typing import TYPE_CHECKING, Any

import pytest

from suitability.cli.main import main

if TYPE_CHECKING:
    from collections.abc import Callable, Iterator

    from selenium.webdriver import Chrome


@pytest.fixture(scope="session")
def chromium(browser: None) -> Iterator[Chrome]:  # noqa: ARG001  (skips where there is none)
    """Chromium without a window."""
    from selenium import webdriver
    from selenium.webdriver.chrome.service import Service

    binary, driver = shutil.which("chromium"), shutil.which("chromedriver")
    assert binary is not None
    assert driver is not None
    options = webdriver.ChromeOptions()
    options.binary_location = binary
    for argument in ("--headless=new", "--no-sandbox", "--disable-dev-shm-usage"):
        options.add_argument(argument)
    options.set_capability("goog:loggingPrefs", {"browser": "ALL", "performance": "ALL"})
    opened = webdriver.Chrome(options=options, service=Service(driver))
    yield opened
    opened.quit()


@pytest.fixture(scope="session")
def written(tmp_path_factory: pytest.TempPathFactory) -> Callable[..., str]:
    """
    What a command writes as a page, made once in a run, whichever test or process asks first.

    The command ends with the option that names its page; further arguments follow it.
    """
    folder = tmp_path_factory.getbasetemp()
    if "PYTEST_XDIST_WORKER" in os.environ:
        folder = folder.parent

    def page(command: tuple[str, ...], more: tuple[str, ...] = ()) -> str:
        said = "\0".join((*command, *more)).encode("utf-8")
        file = folder / f"{hashlib.sha256(said).hexdigest()}.html"
        if not file.exists():
            part = Path(tmp_path_factory.mktemp("written"), "page.html")
            with pytest.raises(SystemExit) as ended:
                main([*command, str(part), *more])
            assert ended.value.code == 0
            part.replace(file)
        return file.read_text("utf-8")

    return page


@pytest.fixture
def open_page(chromium: Chrome, tmp_path: Path) -> Callable[..., Chrome]:
    """Opener of a page at a width, on screen or as printed; nothing is left of earlier ones."""

    def show(
        page: str,
        *,
        width: int = 1200,
        height: int = 900,
        media: str = "screen",
        scheme: str = "light",
    ) -> Chrome:
        file = tmp_path / "page.html"
        file.write_text(page, encoding="utf-8")
        command: Callable[[str, dict[str, Any]], Any] = chromium.execute_cdp_cmd
        features = [{"name": "prefers-color-scheme", "value": scheme}]
        command("Emulation.setEmulatedMedia", {"media": media, "features": features})
        command(
            "Emulation.setDeviceMetricsOverride",
            {"width": width, "height": height, "deviceScaleFactor": 1, "mobile": width < 500},
        )
        for kind in ("browser", "performance"):
            chromium.get_log(kind)  # type: ignore[no-untyped-call]
        chromium.get(file.as_uri())
        return chromium

    return show
