# Poisson counts of every trouble of many trips by numpy.
# usage: draws.py MEANS TRIPS   (means: little-endian float64, one a trouble)
# prints: seconds, troubles drawn in all
import sys, time
import numpy

means = numpy.fromfile(sys.argv[1], "<f8")
trips = int(sys.argv[2])
random = numpy.random.default_rng(1)
total, seconds = 0, 0.0
for done in range(0, trips, 1000):
    start = time.perf_counter()
    counts = random.poisson(means, size=(min(1000, trips - done), len(means)))
    seconds += time.perf_counter() - start
    total += int(counts.sum())
print("%.9f %d" % (seconds, total))
