"""What the terminal shows of a batch: JSON for programs."""

from __future__ import annotations

from dataclasses import asdict

from render.batch.batch_run import Batch
from render.cli.findings import dump, finding_table, in_order


def batch_json(made: Batch) -> str:
    """Every order of a batch for programs."""
    return dump(
        {
            "folder": str(made.folder),
            "orders": [
                {
                    "order": each.name,
                    "file": str(each.path) if each.path.name else "",
                    "state": str(each.state),
                    **asdict(each.counts),
                    "remark": each.remark,
                    "findings": [finding_table(fault) for fault in in_order(each.faults)],
                }
                for each in made.outcomes
            ],
        }
    )
