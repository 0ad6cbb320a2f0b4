"""The shipped trials car and its main job, worked through once for all tests that look at it."""

from shipped import TODAY, Shipped, catalog

__all__ = ["TODAY", "answer", "catalog", "job", "knockons", "project", "vehicle"]

_CAR = Shipped("trials-car")
project, vehicle, job, knockons, answer = _CAR.project, _CAR.vehicle, _CAR.job, _CAR.knockons, _CAR.answer
