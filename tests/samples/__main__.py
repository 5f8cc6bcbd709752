"""Redraws ``output_samples/``: the demo plant, its job's best pages, and a picture of each kind."""

from __future__ import annotations

from tests.samples import demo_plant, kept_true, page_views, pictures, untidy_plant

if __name__ == "__main__":
    demo_plant.write()
    demo_plant.write(demo_plant.PACKED)
    untidy_plant.write()
    pictures.write()
    kept_true.write()
    page_views.write()
