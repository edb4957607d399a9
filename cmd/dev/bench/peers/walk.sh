# The cost surface of walking by GRASS r.walk over a plane grid of cells.
# usage: walk.sh FOLDER COLS ROWS CELL ROUNDS KNIGHT   in FOLDER: hills.bin flat.bin start.bin (little-endian float32,
# start with NaN where nobody starts); KNIGHT is -k for sixteen directions, or - for eight
# prints: seconds of each round over the hills; writes flat.out (float32, seconds from the start)
set -e
cd "$1"
cols=$2 rows=$3 cell=$4 rounds=$5 knight=$6
[ "$knight" = - ] && knight=
east=$((cols * cell)) north=$((rows * cell))
for map in hills flat start; do
	r.in.bin -f --quiet --overwrite input=$map.bin output=$map bytes=4 order=little north=$north south=0 east=$east west=0 rows=$rows cols=$cols
done
g.region raster=hills
r.mapcalc --quiet --overwrite "friction = 0.0"
for i in $(seq "$rounds"); do
	from=$(date +%s%N)
	r.walk $knight --quiet --overwrite elevation=hills friction=friction start_raster=start output=cost memory=4000
	to=$(date +%s%N)
	echo $((to - from))
done
r.walk $knight --quiet --overwrite elevation=flat friction=friction start_raster=start output=cost memory=4000
r.out.bin -f --quiet --overwrite input=cost output=flat.out bytes=4 order=little null=-1
