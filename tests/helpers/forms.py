"""Forms that the tests of cut paths share."""

from layouts.drawing import Point, Rect, circle, polygon, rectangle


def box(x, y, width, height, radius=0.0):
    return rectangle(Rect(x, y, width, height), radius).contours[0]


def hole(x, y, diameter=6.0):
    return circle(Point(x, y), diameter).contours[0]


def corners(*points):
    return polygon([Point(*each) for each in points]).contours[0]


def total(contours):
    return sum(each.length() for each in contours)
