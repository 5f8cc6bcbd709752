"""Between Lab and XYZ under any white, and from one white to another.

CIE 15:2004, 8.2.1 for Lab; the Bradford matrix as in ICC.1:2022, Annex E (both from memory).
"""

from typing import TypeAlias

from layouts.drawing.inks import Lab

Triple: TypeAlias = tuple[float, float, float]
_Matrix: TypeAlias = tuple[Triple, Triple, Triple]

_BRADFORD: _Matrix = (
    (0.8951, 0.2664, -0.1614),
    (-0.7502, 1.7135, 0.0367),
    (0.0389, -0.0685, 1.0296),
)
# Its inverse, to the last place of a float.
_BRADFORD_BACK: _Matrix = (
    (0.9869929054667123, -0.14705425642099013, 0.15996265166373125),
    (0.43230526972339456, 0.5183602715367776, 0.0492912282128556),
    (-0.008528664575177328, 0.04004282165408487, 0.96848669578755),
)
_EDGE = 6 / 29


def lab_of(xyz: Triple, white: Triple) -> Lab:
    """Lab of a color and the white it is seen by, both on one scale."""
    x, y, z = (_curve(value / most) for value, most in zip(xyz, white, strict=True))
    return Lab(116 * y - 16, 500 * (x - y), 200 * (y - z))


def xyz_of(lab: Lab, white: Triple) -> Triple:
    """XYZ of a Lab under a white, on the white's scale."""
    y = (lab.lightness + 16) / 116
    x, z = y + lab.a / 500, y - lab.b / 200
    return (white[0] * _cube(x), white[1] * _cube(y), white[2] * _cube(z))


def adapted(xyz: Triple, white: Triple, to: Triple) -> Triple:
    """The color that under ``to`` looks as this one does under ``white`` (Bradford)."""
    cone, before, after = (_times(_BRADFORD, each) for each in (xyz, white, to))
    scaled = (
        cone[0] * after[0] / before[0],
        cone[1] * after[1] / before[1],
        cone[2] * after[2] / before[2],
    )
    return _times(_BRADFORD_BACK, scaled)


def _times(matrix: _Matrix, vector: Triple) -> Triple:
    x, y, z = (row[0] * vector[0] + row[1] * vector[1] + row[2] * vector[2] for row in matrix)
    return x, y, z


def _curve(t: float) -> float:
    return float(t ** (1 / 3)) if t > _EDGE**3 else t / (3 * _EDGE**2) + 4 / 29


def _cube(t: float) -> float:
    return t * t * t if t > _EDGE else 3 * _EDGE**2 * (t - 4 / 29)
