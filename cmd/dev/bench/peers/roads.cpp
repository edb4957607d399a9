// The road network of an OSM PBF file by libosmium: every way with a highway tag, its nodes located, in memory.
// usage: roads FILE   prints: seconds ways points sum(lon) sum(lat), the sums in units of 1e-7 degrees.
#include <chrono>
#include <cstdint>
#include <cstdio>
#include <cstring>
#include <set>
#include <string>
#include <vector>

#include <osmium/handler.hpp>
#include <osmium/handler/node_locations_for_ways.hpp>
#include <osmium/index/map/flex_mem.hpp>
#include <osmium/io/pbf_input.hpp>
#include <osmium/visitor.hpp>

using Index = osmium::index::map::FlexMem<osmium::unsigned_object_id_type, osmium::Location>;
using Locations = osmium::handler::NodeLocationsForWays<Index>;

// Not to be driven or walked on, as the other side of the comparison leaves them out too.
static const std::set<std::string> notWays{"proposed", "construction", "razed", "no", "platform", "rest_area", "services", "elevator",
    "bus_stop", "street_lamp", "traffic_signals", "crossing", "emergency_bay", "passing_place", "escape"};

struct Roads : osmium::handler::Handler {
    std::vector<osmium::Location> points;
    std::vector<std::size_t> starts;
    void way(const osmium::Way& w) {
        const char* h = w.tags()["highway"];
        if (!h || !*h || notWays.count(h)) return;
        const std::size_t from = points.size();
        for (const auto& n : w.nodes())
            if (n.location().valid()) points.push_back(n.location());
        if (points.size() - from < 2) points.resize(from);
        else starts.push_back(from);
    }
};

int main(int argc, char** argv) {
    if (argc != 2) return 2;
    const auto from = std::chrono::steady_clock::now();
    Roads roads;
    {
        Index index;
        Locations locations{index};
        locations.ignore_errors();
        osmium::io::Reader reader{argv[1], osmium::osm_entity_bits::node | osmium::osm_entity_bits::way, osmium::io::read_meta::no};
        osmium::apply(reader, locations, roads);
        reader.close();
    }
    const std::chrono::duration<double> took = std::chrono::steady_clock::now() - from;
    std::int64_t x = 0, y = 0;
    for (const auto& p : roads.points) { x += p.x(); y += p.y(); }
    std::printf("%.6f %zu %zu %lld %lld\n", took.count(), roads.starts.size(), roads.points.size(), (long long)x, (long long)y);
}
