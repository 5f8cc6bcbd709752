"""Forms that the tests of cut paths share."""

from collections.abc import Iterable

from layouts.drawing import Contour, Point, Rect, circle, polygon, rectangle


def box(x: float, y: float, width: float, height: float, radius: float = 0.0) -> Contour:
    return rectangle(Rect(x, y, width, height), radius).contours[0]


def hole(x: float, y: float, diameter: float = 6.0) -> Contour:
    return circle(Point(x, y), diameter).contours[0]


def corners(*points: tuple[float, float]) -> Contour:
    return polygon([Point(*each) for each in points]).contours[0]


def total(contours: Iterable[Contour]) -> float:
    return sum(each.length() for each in contours)
