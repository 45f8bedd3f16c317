"""Runs OpenCV's chart detector (cv2.mcc, Debian's python3-opencv) on pictures and writes what it found.

Usage: opencv_detector.py OUT.csv PICTURE...   One line a found chart: file name, then 24 x r,g,b (0..1).
"""
import os
import sys

import cv2

with open(sys.argv[1], "w") as out:
    for path in sys.argv[2:]:
        picture = cv2.imread(path, cv2.IMREAD_COLOR)
        detector = cv2.mcc.CCheckerDetector_create()
        if not detector.process(picture, cv2.mcc.MCC24, 1):
            continue
        for checker in detector.getListColorChecker():
            box = checker.getBox()
            x = sum(p[0] for p in box) / 4
            y = sum(p[1] for p in box) / 4
            values = checker.getChartsRGB()[:, 1] / 255
            out.write(",".join([os.path.basename(path), "%.2f" % x, "%.2f" % y] + ["%.5f" % v for v in values]) + "\n")
