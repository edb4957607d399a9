# Bilinear heights by scipy.ndimage.map_coordinates.
# usage: heights.py TILE.hgt SIDE WEST NORTH POINTS OUT   (points: little-endian float64 lon, lat; OUT: float64 metres)
# prints: seconds for the reading of all points, coordinates in rows and columns being ready
import sys, time
import numpy
from scipy.ndimage import map_coordinates

tile, side, west, north, points, out = sys.argv[1:]
side, west, north = int(side), float(west), float(north)
posts = numpy.fromfile(tile, ">i2").reshape(side, side).astype(numpy.float32)
p = numpy.fromfile(points, "<f8").reshape(-1, 2)
at = numpy.ascontiguousarray(numpy.stack([(north - p[:, 1]) * (side - 1), (p[:, 0] - west) * (side - 1)]))
result = numpy.empty(len(p))
start = time.perf_counter()
map_coordinates(posts, at, output=result, order=1, prefilter=False, mode="nearest")
print("%.9f" % (time.perf_counter() - start))
result.astype("<f8").tofile(out)
