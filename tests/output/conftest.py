"""The real browser that opens pages as a grower's does."""

from __future__ import annotations

import shutil
from typing import TYPE_CHECKING, Any

import pytest

if TYPE_CHECKING:
    from collections.abc import Callable, Iterator
    from pathlib import Path

    from selenium.webdriver import Chrome


@pytest.fixture(scope="session")
def chromium() -> Iterator[Chrome]:
    """Chromium without a window; skipped where the machine has none with its driver."""
    from selenium import webdriver
    from selenium.webdriver.chrome.service import Service

    binary, driver = shutil.which("chromium"), shutil.which("chromedriver")
    if binary is None or driver is None:
        pytest.skip("no chromium with chromium-driver on this machine")
    options = webdriver.ChromeOptions()
    options.binary_location = binary
    for argument in ("--headless=new", "--no-sandbox", "--disable-dev-shm-usage"):
        options.add_argument(argument)
    options.set_capability("goog:loggingPrefs", {"browser": "ALL", "performance": "ALL"})
    browser = webdriver.Chrome(options=options, service=Service(driver))
    yield browser
    browser.quit()


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
