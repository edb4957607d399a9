// The nearest segment by the STRtree of the GEOS C API.
// usage: nearest SEGMENTS QUERIES OUT   (little-endian float64: ax ay bx by, and x y; OUT gets the distances)
// prints: seconds to build, seconds for all queries
#include <geos_c.h>
#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <time.h>

typedef struct { double ax, ay, bx, by; } Seg;

static double now(void) { struct timespec t; clock_gettime(CLOCK_MONOTONIC, &t); return t.tv_sec + 1e-9 * t.tv_nsec; }

static double query_x, query_y;
static const Seg* query = NULL; // stands for the place asked about

static int distance(const void* a, const void* b, double* d, void* unused) {
    const Seg* s = (a == (const void*)&query) ? b : a;
    (void)unused;
    double dx = s->bx - s->ax, dy = s->by - s->ay, px = query_x - s->ax, py = query_y - s->ay;
    double l2 = dx * dx + dy * dy, t = l2 > 0 ? (px * dx + py * dy) / l2 : 0;
    if (t < 0) t = 0;
    if (t > 1) t = 1;
    *d = hypot(px - t * dx, py - t * dy);
    return 1;
}

static void* slurp(const char* name, size_t item, size_t* n) {
    FILE* f = fopen(name, "rb");
    if (!f) { perror(name); exit(1); }
    fseek(f, 0, SEEK_END);
    long size = ftell(f);
    rewind(f);
    void* p = malloc(size);
    *n = size / item;
    if (fread(p, item, *n, f) != *n) exit(1);
    fclose(f);
    return p;
}

static GEOSGeometry* line(GEOSContextHandle_t h, double ax, double ay, double bx, double by) {
    GEOSCoordSequence* c = GEOSCoordSeq_create_r(h, 2, 2);
    GEOSCoordSeq_setXY_r(h, c, 0, ax, ay);
    GEOSCoordSeq_setXY_r(h, c, 1, bx, by);
    return GEOSGeom_createLineString_r(h, c);
}

int main(int argc, char** argv) {
    if (argc != 4) return 2;
    size_t n, m;
    Seg* segs = slurp(argv[1], sizeof(Seg), &n);
    double* q = slurp(argv[2], 2 * sizeof(double), &m);
    double* out = malloc(m * sizeof(double));
    GEOSContextHandle_t h = GEOS_init_r();

    double from = now();
    GEOSSTRtree* tree = GEOSSTRtree_create_r(h, 10);
    for (size_t i = 0; i < n; i++) {
        GEOSGeometry* g = line(h, segs[i].ax, segs[i].ay, segs[i].bx, segs[i].by);
        GEOSSTRtree_insert_r(h, tree, g, &segs[i]);
        GEOSGeom_destroy_r(h, g);
    }
    query_x = segs[0].ax; // the first question packs the tree
    query_y = segs[0].ay;
    GEOSGeometry* first = GEOSGeom_createPointFromXY_r(h, query_x, query_y);
    GEOSSTRtree_nearest_generic_r(h, tree, &query, first, distance, NULL);
    GEOSGeom_destroy_r(h, first);
    double build = now() - from;

    from = now();
    for (size_t i = 0; i < m; i++) {
        query_x = q[2 * i];
        query_y = q[2 * i + 1];
        GEOSGeometry* p = GEOSGeom_createPointFromXY_r(h, query_x, query_y);
        const Seg* s = GEOSSTRtree_nearest_generic_r(h, tree, &query, p, distance, NULL);
        GEOSGeom_destroy_r(h, p);
        distance(&query, s, &out[i], NULL);
    }
    double took = now() - from;

    FILE* f = fopen(argv[3], "wb");
    fwrite(out, sizeof(double), m, f);
    fclose(f);
    printf("%.9f %.9f\n", build, took);
    return 0;
}
