"""Import a 24-megapixel photograph to a zoomable view: time, memory, and the ratio to Pillow.

Target (design, section 8): 3 s and 1 GB. Compared, in one run, with Pillow loading the same JPEG
and saving it as deflated TIFF, which makes neither tiles nor a child process nor any check.
"""
# SPDX-License-Identifier: Apache-2.0

from __future__ import annotations

import json
import statistics
import subprocess
import sys
import tempfile
import time
from pathlib import Path

ROOT = Path(__file__).parents[1]
PHOTOGRAPH = ROOT / "tests" / "data" / "photographs" / "10.jpg"
WIDTH, HEIGHT = 6000, 4000
TARGET_S, TARGET_BYTES = 3.0, 1_000_000_000
REPEATS = 5

# Each way runs in a process of its own, so that the largest child is that way's alone.
_OURS = """
from softmend.intake.decode import import_picture
import_picture(source, target / "picture")
"""
_PILLOW = """
from PIL import Image
with Image.open(source) as image:
    image.save(target / "copy.tif", compression="tiff_adobe_deflate", tiffinfo={317: 2})
"""
_WRAP = """
import json, resource, sys, time
from pathlib import Path
source, target = Path(sys.argv[1]), Path(sys.argv[2])
started = time.perf_counter()
{body}
took = time.perf_counter() - started
both = (resource.RUSAGE_SELF, resource.RUSAGE_CHILDREN)
most = max(resource.getrusage(who).ru_maxrss for who in both) * 1024
print(json.dumps([took, most]))
"""


def write_24_megapixels(path: Path) -> None:
    """Write a JPEG of 6000 x 4000 px by laying the reduced photograph side by side."""
    from PIL import Image

    with Image.open(PHOTOGRAPH) as tile:
        large = Image.new("RGB", (WIDTH, HEIGHT))
        for top in range(0, HEIGHT, tile.height):
            for left in range(0, WIDTH, tile.width):
                large.paste(tile, (left, top))
        large.save(path, quality=92)


def measured(body: str, source: Path) -> tuple[float, int]:
    """Return the seconds and the bytes of the largest process of one way, started afresh."""
    with tempfile.TemporaryDirectory() as target:
        command = [sys.executable, "-c", _WRAP.format(body=body), str(source), target]
        done = subprocess.run(command, capture_output=True, text=True, check=True)
    seconds, most = json.loads(done.stdout)
    return float(seconds), int(most)


def main() -> int:
    """Measure both ways in turns, print the medians, and return 1 when a target is missed."""
    with tempfile.TemporaryDirectory() as scratch:
        source = Path(scratch) / "large.jpg"
        write_24_megapixels(source)
        ours, theirs = [], []
        for _ in range(REPEATS):
            ours.append(measured(_OURS, source))
            theirs.append(measured(_PILLOW, source))
            time.sleep(0.1)
        size = source.stat().st_size
    seconds = statistics.median(took for took, _ in ours)
    plain_s = statistics.median(took for took, _ in theirs)
    most = max(most for _, most in ours)
    sys.stdout.write(
        f"24 MP JPEG of {size / 1e6:.1f} MB to a zoomable view: {seconds:.2f} s "
        f"(target {TARGET_S:.0f} s), {most / 1e9:.2f} GB (target {TARGET_BYTES / 1e9:.0f} GB)\n"
        f"Pillow load and save alone: {plain_s:.2f} s; ours / Pillow = {seconds / plain_s:.2f}\n"
    )
    return int(seconds > TARGET_S or most > TARGET_BYTES)


if __name__ == "__main__":
    raise SystemExit(main())
