"""Writes where points of one photograph lie in another, found without Tonematch.

Usage: true_places.py OUT.csv HOW PRIMARY SECONDARY [FILE]   One line a place: primary x, y, secondary x, y (pixels from
the corner of the picture). HOW: 'disparity' (FILE: measured disparities of the primary, as published with the pair),
'homography' (FILE: the measured homography), 'flow' (dense inverse search, kept where it leads back to within 0.7
pixels), 'planes' (homographies one after another by MAGSAC++ on SIFT, near their inliers). Whatever the way, a place
is kept only where the brightness around it, 15 pixels wide, correlates by 0.9 or more in both pictures.
"""
import sys

import cv2
import numpy as np

out, how, first, second = sys.argv[1:5]
primary, secondary = cv2.imread(first), cv2.imread(second)
p, s = (cv2.cvtColor(i, cv2.COLOR_BGR2GRAY) for i in (primary, secondary))
height, width = p.shape
gx, gy = np.meshgrid(np.arange(width, dtype=np.float32), np.arange(height, dtype=np.float32))


def by_homography(h):
    d = h[2, 0] * gx + h[2, 1] * gy + h[2, 2]
    return (np.float32((h[0, 0] * gx + h[0, 1] * gy + h[0, 2]) / d), np.float32((h[1, 0] * gx + h[1, 1] * gy + h[1, 2]) / d))


def correlation(mx, my):
    """Of 15 x 15 pixels, as the local affine of the map sees them."""
    warped = cv2.remap(s, mx, my, cv2.INTER_LINEAR, borderMode=cv2.BORDER_CONSTANT).astype(np.float64)
    a = p.astype(np.float64)

    def mean(x):
        return cv2.blur(x, (15, 15))

    ma, mb = mean(a), mean(warped)
    va, vb = mean(a * a) - ma * ma, mean(warped * warped) - mb * mb
    c = (mean(a * warped) - ma * mb) / np.sqrt(np.maximum(va * vb, 1e-9))
    outside = (mx < 8) | (my < 8) | (mx >= s.shape[1] - 8) | (my >= s.shape[0] - 8)
    # Without structure there is nothing to correlate.
    c[outside | (va < 9) | (vb < 4)] = -1
    return c


candidates = []
if how == "disparity":
    d = cv2.imread(sys.argv[5], cv2.IMREAD_UNCHANGED).astype(np.float32)
    d = d if d.ndim == 2 else d[..., 0]
    near = cv2.erode(np.float32(d > 0), np.ones((5, 5)))
    candidates.append((gx - d, gy.copy(), near > 0))
elif how == "homography":
    f = cv2.FileStorage(sys.argv[5], cv2.FILE_STORAGE_READ)
    candidates.append((*by_homography(f.getFirstTopLevelNode().mat()), np.ones_like(p, bool)))
elif how == "flow":
    dis = cv2.DISOpticalFlow_create(cv2.DISOPTICAL_FLOW_PRESET_MEDIUM)
    clahe = cv2.createCLAHE(3, (8, 8))
    a, b = clahe.apply(p), clahe.apply(s)
    there, back = dis.calc(a, b, None), dis.calc(b, a, None)
    mx, my = gx + there[..., 0], gy + there[..., 1]
    bx, by = (cv2.remap(back[..., i], mx, my, cv2.INTER_LINEAR, borderMode=cv2.BORDER_CONSTANT, borderValue=1e6) for i in (0, 1))
    candidates.append((mx, my, np.hypot(there[..., 0] + bx, there[..., 1] + by) < 0.7))
else:
    sift = cv2.SIFT_create(6000, 3, 0.01)
    clahe = cv2.createCLAHE(3, (8, 8))
    (ka, da), (kb, db) = sift.detectAndCompute(clahe.apply(p), None), sift.detectAndCompute(clahe.apply(s), None)
    pairs = [m[0] for m in cv2.BFMatcher().knnMatch(da, db, 2) if m[0].distance < 0.8 * m[1].distance]
    xa = np.float32([ka[m.queryIdx].pt for m in pairs])
    xb = np.float32([kb[m.trainIdx].pt for m in pairs])
    for _ in range(8):
        if len(xa) < 20:
            break
        h, mask = cv2.findHomography(xa, xb, cv2.USAC_MAGSAC, 2.0, maxIters=20000, confidence=0.9999)
        kept = mask.ravel() > 0 if h is not None else np.zeros(len(xa), bool)
        if kept.sum() < 15:
            break
        near = np.zeros_like(p)
        for x, y in xa[kept]:
            cv2.circle(near, (int(x), int(y)), 20, 255, -1)
        candidates.append((*by_homography(h), near > 0))
        xa, xb = xa[~kept], xb[~kept]

best = np.full(p.shape, 0.9)
bx, by = np.zeros(p.shape, np.float32), np.zeros(p.shape, np.float32)
for mx, my, near in candidates:
    c = correlation(np.float32(mx), np.float32(my))
    better = near & (c > best)
    best[better], bx[better], by[better] = c[better], mx[better], my[better]
found = best > 0.9
with open(out, "w") as f:
    for y in range(8, height - 8, 3):
        for x in range(8, width - 8, 3):
            if found[y, x]:
                f.write("%.1f,%.1f,%.3f,%.3f\n" % (x + 0.5, y + 0.5, bx[y, x] + 0.5, by[y, x] + 0.5))
