// The rays of `surfaces.rs` asked of Embree itself: one a facet of the bumpy geodesic ball, from 1e-4 under its centroid inward.
//
//   c++ -O3 -march=native -o rays rays.cc -lembree3 && ./rays F        (Debian: libembree-dev; 20 F^2 facets; F = 224: 1,003,520)
//
// One thread; numbers of 32 bits. Each way of asking with the robust flag (no gaps between neighbours, as ours) and without it.
#if !__has_include(<embree3/rtcore.h>)
#error "Embree 3 is not installed: on Debian, apt-get install libembree-dev"
#else
#include <embree3/rtcore.h>

#include <algorithm>
#include <array>
#include <cmath>
#include <cstdio>
#include <cstdlib>
#include <ctime>
#include <functional>
#include <map>
#include <vector>

using V = std::array<double, 3>;

struct Body {
    std::vector<V> points;
    std::vector<std::array<unsigned, 3>> facets;
};

static Body geodesic(int f) {
    const double p = (1 + std::sqrt(5.0)) / 2;
    const double corner[12][3] = {{-1, p, 0}, {1, p, 0}, {-1, -p, 0}, {1, -p, 0}, {0, -1, p}, {0, 1, p}, {0, -1, -p}, {0, 1, -p}, {p, 0, -1}, {p, 0, 1}, {-p, 0, -1}, {-p, 0, 1}};
    const int side[20][3] = {{0, 11, 5}, {0, 5, 1}, {0, 1, 7}, {0, 7, 10}, {0, 10, 11}, {1, 5, 9}, {5, 11, 4}, {11, 10, 2}, {10, 7, 6}, {7, 1, 8}, {3, 9, 4}, {3, 4, 2}, {3, 2, 6}, {3, 6, 8}, {3, 8, 9}, {4, 9, 5}, {2, 4, 11}, {6, 2, 10}, {8, 6, 7}, {9, 8, 1}};
    Body b;
    std::map<std::array<long long, 3>, unsigned> seen;
    for (auto& s : side) {
        auto number = [&](int i, int j) {
            const double w[3] = {double(f - i - j), double(i), double(j)};
            V v{};
            for (int a = 0; a < 3; a++)
                for (int k = 0; k < 3; k++) v[a] += w[k] * corner[s[k]][a];
            const double n = std::sqrt(v[0] * v[0] + v[1] * v[1] + v[2] * v[2]);
            const double x = v[0] / n, y = v[1] / n, z = v[2] / n;
            const auto [at, fresh] = seen.try_emplace({llround(x * 1e7), llround(y * 1e7), llround(z * 1e7)}, unsigned(b.points.size()));
            if (fresh) {
                const double r = 5 * (1 + 0.08 * std::sin(5 * x + 1) * std::cos(7 * y) + 0.03 * std::sin(23 * z) * std::cos(19 * x));
                b.points.push_back({r * x, r * y, r * z});
            }
            return at->second;
        };
        for (int i = 0; i < f; i++)
            for (int j = 0; j < f - i; j++) {
                b.facets.push_back({number(i, j), number(i + 1, j), number(i, j + 1)});
                if (i + j + 1 < f) b.facets.push_back({number(i + 1, j), number(i + 1, j + 1), number(i, j + 1)});
            }
    }
    return b;
}

static RTCRayHit under(const Body& b, size_t f) {
    const V a = b.points[b.facets[f][0]], q = b.points[b.facets[f][1]], c = b.points[b.facets[f][2]];
    V e, g, n, m;
    for (int i = 0; i < 3; i++) e[i] = q[i] - a[i], g[i] = c[i] - a[i], m[i] = (a[i] + q[i] + c[i]) / 3;
    for (int i = 0; i < 3; i++) n[i] = e[(i + 1) % 3] * g[(i + 2) % 3] - e[(i + 2) % 3] * g[(i + 1) % 3];
    const double size = std::sqrt(n[0] * n[0] + n[1] * n[1] + n[2] * n[2]);
    RTCRayHit r{};
    float* from = &r.ray.org_x;
    float* along = &r.ray.dir_x;
    for (int i = 0; i < 3; i++) along[i] = float(-n[i] / size), from[i] = float(m[i] - 1e-4 * n[i] / size);
    r.ray.tfar = INFINITY;
    r.ray.mask = ~0u;
    r.hit.geomID = RTC_INVALID_GEOMETRY_ID;
    return r;
}

static double processor() {
    timespec t;
    clock_gettime(CLOCK_PROCESS_CPUTIME_ID, &t);
    return double(t.tv_sec) + 1e-9 * double(t.tv_nsec);
}

// `fresh` lays the rays anew outside of the clock: Embree writes its answers over them.
static void timed(const char* what, const std::function<void()>& fresh, const std::function<void()>& work) {
    std::vector<double> works;
    for (int k = 0; k < 5; k++) {
        fresh();
        const double before = processor();
        work();
        works.push_back(processor() - before);
    }
    std::sort(works.begin(), works.end());
    std::printf("%s: processor median %.3f s, least %.3f s of 5\n", what, works[2], works[0]);
}

template <class Packet, int N> static void pack(const std::vector<RTCRayHit>& rays, std::vector<Packet>& out) {
    out.assign((rays.size() + N - 1) / N, Packet{});
    for (size_t r = 0; r < out.size() * N; r++) {
        const RTCRayHit& one = rays[std::min(r, rays.size() - 1)];
        Packet& p = out[r / N];
        const int k = int(r % N);
        p.ray.org_x[k] = one.ray.org_x, p.ray.org_y[k] = one.ray.org_y, p.ray.org_z[k] = one.ray.org_z;
        p.ray.dir_x[k] = one.ray.dir_x, p.ray.dir_y[k] = one.ray.dir_y, p.ray.dir_z[k] = one.ray.dir_z;
        p.ray.tfar[k] = one.ray.tfar, p.ray.mask[k] = one.ray.mask, p.hit.geomID[k] = RTC_INVALID_GEOMETRY_ID;
    }
}

static void ask(RTCDevice device, const Body& b, const std::vector<RTCRayHit>& laid, bool robust) {
    RTCScene scene = nullptr;
    auto build = [&] {
        if (scene) rtcReleaseScene(scene);
        scene = rtcNewScene(device);
        rtcSetSceneFlags(scene, robust ? RTC_SCENE_FLAG_ROBUST : RTC_SCENE_FLAG_NONE);
        RTCGeometry g = rtcNewGeometry(device, RTC_GEOMETRY_TYPE_TRIANGLE);
        auto* points = static_cast<float*>(rtcSetNewGeometryBuffer(g, RTC_BUFFER_TYPE_VERTEX, 0, RTC_FORMAT_FLOAT3, 12, b.points.size()));
        auto* facets = static_cast<unsigned*>(rtcSetNewGeometryBuffer(g, RTC_BUFFER_TYPE_INDEX, 0, RTC_FORMAT_UINT3, 12, b.facets.size()));
        for (size_t k = 0; k < 3 * b.points.size(); k++) points[k] = float(b.points[k / 3][k % 3]);
        for (size_t k = 0; k < 3 * b.facets.size(); k++) facets[k] = b.facets[k / 3][k % 3];
        rtcCommitGeometry(g);
        rtcAttachGeometry(scene, g);
        rtcReleaseGeometry(g);
        rtcCommitScene(scene);
    };
    std::printf("%s\n", robust ? "robust" : "not robust");
    timed("  tree", [] {}, build);
    std::vector<RTCRayHit> rays;
    auto lay = [&] { rays = laid; };
    RTCIntersectContext one, batch;
    rtcInitIntersectContext(&one);
    rtcInitIntersectContext(&batch);
    batch.flags = RTC_INTERSECT_CONTEXT_FLAG_COHERENT;
    timed("  rays one by one", lay, [&] {
        for (auto& r : rays) rtcIntersect1(scene, &one, &r);
    });
    double sum = 0;
    size_t lost = 0;
    for (auto& r : rays) r.hit.geomID == RTC_INVALID_GEOMETRY_ID ? void(lost++) : void(sum += r.ray.tfar);
    std::printf("  mean %.6f, lost %zu\n", sum / double(rays.size() - lost), lost);
    timed("  rays as a stream", lay, [&] { rtcIntersect1M(scene, &one, rays.data(), unsigned(rays.size()), sizeof(RTCRayHit)); });
    timed("  rays as a coherent stream", lay, [&] { rtcIntersect1M(scene, &batch, rays.data(), unsigned(rays.size()), sizeof(RTCRayHit)); });
    alignas(64) static const int all[16] = {-1, -1, -1, -1, -1, -1, -1, -1, -1, -1, -1, -1, -1, -1, -1, -1};
    std::vector<RTCRayHit8> eight;
    timed("  rays by eights", [&] { pack<RTCRayHit8, 8>(laid, eight); }, [&] {
        for (auto& r : eight) rtcIntersect8(all, scene, &one, &r);
    });
    timed("  rays by eights, coherent", [&] { pack<RTCRayHit8, 8>(laid, eight); }, [&] {
        for (auto& r : eight) rtcIntersect8(all, scene, &batch, &r);
    });
    std::vector<RTCRayHit16> sixteen;
    timed("  rays by sixteens", [&] { pack<RTCRayHit16, 16>(laid, sixteen); }, [&] {
        for (auto& r : sixteen) rtcIntersect16(all, scene, &one, &r);
    });
    timed("  rays by sixteens, coherent", [&] { pack<RTCRayHit16, 16>(laid, sixteen); }, [&] {
        for (auto& r : sixteen) rtcIntersect16(all, scene, &batch, &r);
    });
    rtcReleaseScene(scene);
}

int main(int n, char** words) {
    const Body b = geodesic(n > 1 ? std::atoi(words[1]) : 100);
    std::vector<RTCRayHit> rays(b.facets.size());
    for (size_t f = 0; f < rays.size(); f++) rays[f] = under(b, f);
    RTCDevice device = rtcNewDevice("threads=1,set_affinity=0");
    std::printf("Embree %zd, %zu facets, 1 thread\n", rtcGetDeviceProperty(device, RTC_DEVICE_PROPERTY_VERSION), b.facets.size());
    ask(device, b, rays, true);
    ask(device, b, rays, false);
    rtcReleaseDevice(device);
}
#endif
