"""The yardstick of docs/decisions/0040: scikit-image local maxima and watershed on NDVI, tuned on the tuning crops.

usage: urban_tree_baseline.py IMAGES_AND_CSV_FOLDER; prints one JSON line
"""
import csv
import glob
import json
import os
import sys

import numpy as np
from osgeo import gdal
from scipy import ndimage
from scipy.optimize import linear_sum_assignment
from skimage.feature import peak_local_max
from skimage.filters import threshold_otsu
from skimage.measure import regionprops
from skimage.segmentation import watershed

gdal.UseExceptions()
CELL = 0.6
REACH = 3.0


def crop(folder, name):
    red, _, _, nir = gdal.Open(f"{folder}/images/{name}.tif").ReadAsArray().astype(float)
    with open(f"{folder}/csv/{name}.csv") as marks:
        places = np.array([[float(row["x"]), float(row["y"])] for row in csv.DictReader(marks)]) + 0.5
    return (nir - red) / (nir + red + 1e-9), places


def trees(ndvi, sigma, distance):
    smooth = ndimage.gaussian_filter(ndvi, sigma)
    mask = smooth > threshold_otsu(ndvi)
    tops = peak_local_max(smooth, min_distance=distance, labels=mask.astype(int), exclude_border=False)
    markers = np.zeros(ndvi.shape, int)
    markers[tuple(tops.T)] = np.arange(1, len(tops) + 1)
    regions = regionprops(watershed(-smooth, markers, mask=mask))
    return np.array([[region.centroid[1], region.centroid[0]] for region in regions]).reshape(-1, 2) + 0.5


def pairs(found, marked):
    if len(found) == 0 or len(marked) == 0:
        return 0, len(found), len(marked)
    apart = CELL * np.hypot(*(found[:, None, :] - marked[None, :, :]).transpose(2, 0, 1))
    rows, columns = linear_sum_assignment(np.where(apart <= REACH, apart - 1000, 0))
    return int((apart[rows, columns] <= REACH).sum()), len(found), len(marked)


def f1(scores):
    both, found, marked = np.sum(scores, axis=0)
    return float(2 * both / (found + marked))


def main(folder):
    names = sorted(os.path.basename(path)[:-4] for path in glob.glob(f"{folder}/images/*.tif"))
    crops = {name: crop(folder, name) for name in names}
    tuning = [name for name in names if int(name.rsplit("_", 1)[1]) % 2 == 0]
    judging = [name for name in names if name not in tuning]

    def of(chosen, sigma, distance):
        return f1([pairs(trees(crops[name][0], sigma, distance), crops[name][1]) for name in chosen])

    best = max((of(tuning, s, d), s, d) for s in (1, 1.5, 2, 2.5, 3) for d in (2, 3, 4, 5))
    print(json.dumps({"tuning": best[0], "sigma": best[1], "distance": best[2], "judging": of(judging, *best[1:])}))


main(sys.argv[1])
