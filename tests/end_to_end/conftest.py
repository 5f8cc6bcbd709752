"""A small order of every kind, and the tools that read its files back."""

from __future__ import annotations

from pathlib import Path

import pytest

from render.job import JobFolder, build
from render.options import Options
from render.read import read
from render.shop.shopfile import load_shop

LIST = """\
line,kind,service,state,pressure_psig,flow,run,side,pipe,covering_in,od_in,environment,surface_f,\
frost_in,tag,function,emergency,qty,area,legend
HTRS-1,pipe,HTRS,both,30,left,,,NPS 4,1.5,,indoor,,,,,,3,Machinery room,
HPL-1,pipe,HPL,liquid,185,right,,both,NPS 2,0,,indoor,,,,,,2,Machinery room,
LSS-1,pipe,LSS,vapor,10 inHg vac,up,vertical,,NPS 12,3,,indoor,,,,,,1,Freezer,
HSD-1,pipe,HSD,vapor,181,right,,,NPS 6,0,,outdoor,200,,,,,4,Rooftop,
EQ-1,pipe,EQ,vapor,181,reversing,,,NPS 1,0,,outdoor,,,,,,2,Rooftop,
BS-1,pipe,BS,vapor,2,right,,,NPS 8,0,,indoor,20,1.5,,,,1,Freezer,
LTRL-1,pipe,LTRL,liquid,40,left,,,,,12.5,indoor,,,,,,2,Freezer,
,equipment,,,181,,,,,,,indoor,,,HPR-1,,,1,Machinery room,High pressure receiver
,valve,HPL,,,,,,,,,indoor,,,HV-118,King valve,yes,1,Machinery room,
,valve,LSS,,,,,,,,,indoor,,,HV-101,Suction stop,,1,Freezer,
"""
QUANTITY = 3 + 2 * 2 + 1 + 4 + 2 + 1 + 2 + 1 + 1 + 1


def job_of(path: Path) -> JobFolder:
    reading = read(path)
    assert reading.order is not None, reading.findings
    return build(reading.order, Options(load_shop()), path.name)


@pytest.fixture(scope="session")
def line_list(tmp_path_factory: pytest.TempPathFactory) -> Path:
    path = tmp_path_factory.mktemp("list") / "plant.csv"
    path.write_text(LIST)
    return path


@pytest.fixture(scope="session")
def job(line_list: Path) -> JobFolder:
    return job_of(line_list)


@pytest.fixture(scope="session")
def job_dir(job: JobFolder, tmp_path_factory: pytest.TempPathFactory) -> Path:
    folder = tmp_path_factory.mktemp("job")
    for name, data in job.files.items():
        path = folder / name
        path.parent.mkdir(parents=True, exist_ok=True)
        path.write_bytes(data)
    return folder
