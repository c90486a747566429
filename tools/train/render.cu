// Renders bodies into 256 x 256 crops for training. One source for two compilers: NVRTC on a GPU, g++ on a CPU.
// Every kernel is a function of one work item; the wrappers at the end run it for all items.
#if defined(__CUDACC__) || defined(__CUDACC_RTC__)
#define DEV __device__ __forceinline__
typedef unsigned long long u64;
DEV void keepNearest(u64 *p, u64 v) { atomicMin(p, v); }
DEV unsigned bitsOf(float x) { return __float_as_uint(x); }
#else
#include <cmath>
#include <cstring>
#define DEV static inline
typedef unsigned long long u64;
DEV void keepNearest(u64 *p, u64 v) { if (v < *p) *p = v; }
DEV unsigned bitsOf(float x) { unsigned u; memcpy(&u, &x, 4); return u; }
using std::sqrt; using std::fabs; using std::floor; using std::exp; using std::pow; using std::sin; using std::cos;
#endif
#define NB 36
#define NS 6
#define NP 160
#define NC 12
#define CP 10
#define NA 8
#define SZ 256
#define SH 320

// names of the per-picture numbers; renderer.py holds the same list
enum { PCAM = 0, RAY = 12, CAM = 21, PSUN = 24, SUN = 36, SUNI = 39, AMB = 40, UPC = 41, DNC = 44, SUNC = 47, EXPO = 50, GAMMA = 51, SKIN = 52, HAIR = 55, TOPA = 58, TOPB = 61, BOTA = 64, BOTB = 67, SOCK = 70, SLEEVE = 73, HEM = 74, NECK = 75, WAIST = 76, LEGLEN = 77, CUT = 78, SOCKS = 79, TOPPAT = 80, PATF = 81, BOTPAT = 82, SKINN = 83, SPEC = 84, HAIRL = 85, LOOSET = 86, LOOSEB = 87, WRF = 88, SEED = 89, HAIRD = 90, DQ = 91, FLOORY = 92, FLA = 93, FLB = 96, FLPAT = 99, FLF = 100, FLANG = 101, WALLD = 102, WALLANG = 103, WA = 104, WB = 107, WPAT = 110, WF = 111, SKY = 112, LINEZ = 115, LINEW = 116, BLACK = 117, SHADOW = 121, EXTRA = 122, EXC = 123, EXS = 124, EXX = 125, EXZ = 126, SHUT = 127, BALLS = 128, BIAS = 152, MIDX = 153, EYEY = 154, EYEZ = 155, LIPY = 156, FACEX = 157 };

DEV unsigned hashU(unsigned x) { x ^= x >> 16; x *= 0x7feb352dU; x ^= x >> 15; x *= 0x846ca68bU; x ^= x >> 16; return x; }
DEV float cell(int x, int y, int z, unsigned s) { return (hashU((unsigned)x * 73856093U ^ (unsigned)y * 19349663U ^ (unsigned)z * 83492791U ^ s) >> 8) * (1.f / 16777216.f); }
DEV float mixf(float a, float b, float t) { return a + (b - a) * t; }
DEV float clampf(float x, float a, float b) { return x < a ? a : (x > b ? b : x); }
DEV float noise3(float x, float y, float z, unsigned s) {
  float fx = floor(x), fy = floor(y), fz = floor(z); int i = (int)fx, j = (int)fy, k = (int)fz; x -= fx; y -= fy; z -= fz;
  x = x * x * (3 - 2 * x); y = y * y * (3 - 2 * y); z = z * z * (3 - 2 * z);
  float a = mixf(mixf(cell(i, j, k, s), cell(i + 1, j, k, s), x), mixf(cell(i, j + 1, k, s), cell(i + 1, j + 1, k, s), x), y);
  float b = mixf(mixf(cell(i, j, k + 1, s), cell(i + 1, j, k + 1, s), x), mixf(cell(i, j + 1, k + 1, s), cell(i + 1, j + 1, k + 1, s), x), y);
  return mixf(a, b, z);
}

// ---- skinning: linear and dual-quaternion mixed, both frames, loose clothes pushed out along the normal ----
DEV void skinItem(long long item, int nvT, int nv, const float *rest, const float *nrm, const unsigned char *wi, const float *wv, const float *attr, const float *mats, const float *quats, const int *shape, const int *base, const float *ball, const float *headRest, const float *ip, float *outP, float *outV, float *outN) {
  int n = (int)(item / nvT), v = (int)(item % nvT); const float *p = ip + (long long)n * NP; float *P = outP + item * 3, *V = outV + item * 3, *N = outN + item * 3;
  int sh = shape[n], bs = base[n];
  float res[2][3], nr[3];
  if (v >= nv) { // hair balls ride on the head
    int k = (v - nv) / 42, d = (v - nv) % 42; const float *b = p + BALLS + 4 * k; const float *hr = headRest + (long long)sh * 3; float r = b[3];
    if (r <= 0) { P[0] = P[1] = P[2] = 0; P[1] = -1e6f; V[0] = V[1] = V[2] = 0; N[0] = N[1] = 0; N[2] = 1; return; }
    float x[3]; for (int i = 0; i < 3; i++) x[i] = hr[i] + b[i] + r * ball[3 * d + i];
    for (int f = 0; f < 2; f++) { const float *m = mats + (((long long)n * 2 + f) * NB + 9) * 12; for (int i = 0; i < 3; i++) res[f][i] = m[4 * i] * x[0] + m[4 * i + 1] * x[1] + m[4 * i + 2] * x[2] + m[4 * i + 3]; if (!f) for (int i = 0; i < 3; i++) nr[i] = m[4 * i] * ball[3 * d] + m[4 * i + 1] * ball[3 * d + 1] + m[4 * i + 2] * ball[3 * d + 2]; }
  } else {
    const float *x0 = rest + ((long long)sh * nv + v) * 3, *n0 = nrm + ((long long)sh * nv + v) * 3; const float *a = attr + ((long long)bs * nv + v) * NA; float x[3] = {x0[0], x0[1], x0[2]};
    float push = 0; float wr = 0.5f + noise3(x[0] * p[WRF], x[1] * p[WRF], x[2] * p[WRF], (unsigned)p[SEED]);
    bool leg = a[0] > 0.5f, arm = a[2] > 0.5f;
    if (p[LOOSET] > 0) { bool in = arm ? a[3] < p[SLEEVE] : (a[4] > p[HEM] && a[4] < p[NECK] && a[5] < 0.5f); if (in) push = p[LOOSET] * wr * (arm ? 0.7f : 1.f); }
    if (p[LOOSEB] > 0) { bool in = leg ? a[1] < p[LEGLEN] : (a[4] < p[WAIST] && !arm); if (in) { float q = p[LOOSEB] * wr * (leg ? clampf(0.4f + a[1] * 2.f, 0.f, 1.f) : 0.4f); push = q > push ? q : push; } }
    if (a[5] > 0.5f && a[6] > p[HAIRL]) push = p[HAIRD] * clampf((a[6] - p[HAIRL]) * 40.f, 0.f, 1.f);
    for (int i = 0; i < 3; i++) x[i] += push * n0[i];
    const unsigned char *w8 = wi + ((long long)bs * nv + v) * 4; const float *wf = wv + ((long long)bs * nv + v) * 4; float blend = p[DQ];
    for (int f = 0; f < 2; f++) {
      float m[12], d[8]; for (int j = 0; j < 12; j++) m[j] = 0; for (int j = 0; j < 8; j++) d[j] = 0; const float *q0 = quats + (((long long)n * 2 + f) * NB + w8[0]) * 8;
      for (int k = 0; k < 4; k++) { float w = wf[k]; if (w == 0) continue; const float *M = mats + (((long long)n * 2 + f) * NB + w8[k]) * 12, *Q = quats + (((long long)n * 2 + f) * NB + w8[k]) * 8; for (int j = 0; j < 12; j++) m[j] += w * M[j]; float s = q0[0] * Q[0] + q0[1] * Q[1] + q0[2] * Q[2] + q0[3] * Q[3] < 0 ? -w : w; for (int j = 0; j < 8; j++) d[j] += s * Q[j]; }
      float il = 1.f / sqrt(d[0] * d[0] + d[1] * d[1] + d[2] * d[2] + d[3] * d[3]); for (int j = 0; j < 8; j++) d[j] *= il;
      float cx = d[1] * x[2] - d[2] * x[1] + d[3] * x[0], cy = d[2] * x[0] - d[0] * x[2] + d[3] * x[1], cz = d[0] * x[1] - d[1] * x[0] + d[3] * x[2];
      float dx = x[0] + 2 * (d[1] * cz - d[2] * cy) + 2 * (d[3] * d[4] - d[0] * d[7] + d[1] * d[6] - d[2] * d[5]);
      float dy = x[1] + 2 * (d[2] * cx - d[0] * cz) + 2 * (d[3] * d[5] - d[1] * d[7] + d[2] * d[4] - d[0] * d[6]);
      float dz = x[2] + 2 * (d[0] * cy - d[1] * cx) + 2 * (d[3] * d[6] - d[2] * d[7] + d[0] * d[5] - d[1] * d[4]);
      float l[3]; for (int i = 0; i < 3; i++) l[i] = m[4 * i] * x[0] + m[4 * i + 1] * x[1] + m[4 * i + 2] * x[2] + m[4 * i + 3];
      res[f][0] = mixf(l[0], dx, blend); res[f][1] = mixf(l[1], dy, blend); res[f][2] = mixf(l[2], dz, blend);
      if (!f) for (int i = 0; i < 3; i++) nr[i] = m[4 * i] * n0[0] + m[4 * i + 1] * n0[1] + m[4 * i + 2] * n0[2];
    }
  }
  float nl = 1.f / (sqrt(nr[0] * nr[0] + nr[1] * nr[1] + nr[2] * nr[2]) + 1e-9f);
  for (int i = 0; i < 3; i++) { P[i] = res[0][i]; V[i] = res[1][i] - res[0][i]; N[i] = nr[i] * nl; }
}

/** World place of vertex v of picture n (pass 0) or of its neighbour, moved beside the athlete (pass 1), tau frames later. */
DEV void placed(int n, int pass, int v, int count, int nvT, const float *P, const float *V, const float *p, float tau, float *o) {
  int m = pass ? (n + 1) % count : n; const float *a = P + ((long long)m * nvT + v) * 3, *b = V + ((long long)m * nvT + v) * 3; float x = a[0] + tau * b[0], y = a[1] + tau * b[1], z = a[2] + tau * b[2];
  if (pass) { float X = p[EXC] * x + p[EXS] * z + p[EXX], Z = -p[EXS] * x + p[EXC] * z + p[EXZ]; x = X; z = Z; }
  o[0] = x; o[1] = y; o[2] = z;
}
DEV bool project(const float *M, const float *w, int persp, float *o) {
  float X = M[0] * w[0] + M[1] * w[1] + M[2] * w[2] + M[3], Y = M[4] * w[0] + M[5] * w[1] + M[6] * w[2] + M[7], Z = M[8] * w[0] + M[9] * w[1] + M[10] * w[2] + M[11];
  if (Z < 0.05f || Z > 1e4f) return false; o[0] = persp ? X / Z : X; o[1] = persp ? Y / Z : Y; o[2] = Z; return true;
}

// mode 0: camera picture of sub-frame `sub`; mode 1: depth from the sun
DEV void rasterItem(long long item, int count, int nt, int nvT, int pass, int mode, int sub, const int *tri, const float *P, const float *V, const float *ip, u64 *zb) {
  int n = (int)(item / nt), t = (int)(item % nt); const float *p = ip + (long long)n * NP; if (pass && p[EXTRA] < 0.5f) return;
  float tau = mode ? 0.f : p[SHUT] * ((sub + 0.5f) / 4.f - 0.5f); float jx = mode ? 0.5f : ((sub & 1) ? 0.75f : 0.25f), jy = mode ? 0.5f : ((sub == 1 || sub == 2) ? 0.75f : 0.25f);
  const float *M = p + (mode ? PSUN : PCAM); int S = mode ? SH : SZ; float s[3][3];
  for (int k = 0; k < 3; k++) { float w[3]; placed(n, pass, tri[3 * t + k], count, nvT, P, V, p, tau, w); if (!project(M, w, !mode, s[k])) return; }
  float x0 = s[0][0], y0 = s[0][1], x1 = s[1][0], y1 = s[1][1], x2 = s[2][0], y2 = s[2][1];
  float area = (x1 - x0) * (y2 - y0) - (x2 - x0) * (y1 - y0); if (fabs(area) < 1e-7f) return; float ia = 1.f / area;
  float mnx = x0 < x1 ? (x0 < x2 ? x0 : x2) : (x1 < x2 ? x1 : x2), mxx = x0 > x1 ? (x0 > x2 ? x0 : x2) : (x1 > x2 ? x1 : x2), mny = y0 < y1 ? (y0 < y2 ? y0 : y2) : (y1 < y2 ? y1 : y2), mxy = y0 > y1 ? (y0 > y2 ? y0 : y2) : (y1 > y2 ? y1 : y2);
  if (mxx < 0 || mxy < 0 || mnx > S || mny > S || mxx - mnx > 300 || mxy - mny > 300) return;
  int i0 = (int)floor(mnx - jx), i1 = (int)floor(mxx - jx) + 1, j0 = (int)floor(mny - jy), j1 = (int)floor(mxy - jy) + 1; if (i0 < 0) i0 = 0; if (j0 < 0) j0 = 0; if (i1 > S - 1) i1 = S - 1; if (j1 > S - 1) j1 = S - 1;
  u64 id = (u64)(unsigned)(t | (pass << 30));
  for (int j = j0; j <= j1; j++) for (int i = i0; i <= i1; i++) {
    float px = i + jx, py = j + jy; float b1 = ((px - x0) * (y2 - y0) - (x2 - x0) * (py - y0)) * ia, b2 = ((x1 - x0) * (py - y0) - (px - x0) * (y1 - y0)) * ia, b0 = 1.f - b1 - b2;
    if (b0 < -1e-5f || b1 < -1e-5f || b2 < -1e-5f) continue; float z = b0 * s[0][2] + b1 * s[1][2] + b2 * s[2][2]; if (z <= 0) continue;
    keepNearest(zb + ((long long)n * S + j) * S + i, ((u64)bitsOf(z) << 32) | id);
  }
}

DEV float sunlit(const float *p, const u64 *sb, int n, const float *w, float bias) {
  float s[3]; if (!project(p + PSUN, w, 0, s)) return 1.f; float lit = 0; 
  for (int dj = 0; dj < 2; dj++) for (int di = 0; di < 2; di++) { int i = (int)floor(s[0] - 0.5f) + di, j = (int)floor(s[1] - 0.5f) + dj; if (i < 0 || j < 0 || i >= SH || j >= SH) { lit += 0.25f; continue; } unsigned zb = (unsigned)(sb[((long long)n * SH + j) * SH + i] >> 32); lit += bitsOf(s[2] - bias) < zb || s[2] - bias <= 0 ? 0.25f : 0.f; }
  return lit;
}
DEV void pattern(float type, const float *A, const float *B, float u, float v, float f, unsigned seed, float *c) {
  float k = 0; int t = (int)type; float a = u * f, b = v * f;
  if (t == 1) k = (b - floor(b)) < 0.5f ? 1 : 0; else if (t == 2) k = (((int)floor(a) + (int)floor(b)) & 1) ? 1 : 0; else if (t == 3) k = noise3(a, b, 0.5f, seed); else if (t == 4) { float r = b - floor(b), q = a * 0.5f + 0.5f * (((int)floor(b)) & 1); q -= floor(q); k = (r < 0.08f || q < 0.05f) ? 1.f : 0.25f * cell((int)floor(a * 0.5f + 0.5f * (((int)floor(b)) & 1)), (int)floor(b), 7, seed); }
  else if (t == 5) { k = noise3(a * 0.3f, b * 0.3f, 2.f, seed) * 0.6f + noise3(a, b, 3.f, seed) * 0.4f; k = clampf((k - 0.35f) * 3.f, 0.f, 1.f); } else if (t == 6) k = noise3(a * 3.f, b * 0.4f, 5.f, seed); else if (t == 7) { float d = (a - floor(a) - 0.5f) * (a - floor(a) - 0.5f) + (b - floor(b) - 0.5f) * (b - floor(b) - 0.5f); k = d < 0.07f ? 1.f : 0.f; }
  for (int i = 0; i < 3; i++) c[i] = mixf(A[i], B[i], k);
}

DEV void shadeItem(long long item, int count, int nt, int nbt, int nvT, int nv, int sub, const int *tri, const float *P, const float *V, const float *N, const float *rest, const float *attr, const int *shape, const int *base, const float *ip, const float *clut, const u64 *zb, const u64 *sb, float *out) {
  int n = (int)(item / (SZ * SZ)), q = (int)(item % (SZ * SZ)), j = q / SZ, i = q % SZ; const float *p = ip + (long long)n * NP; float tau = p[SHUT] * ((sub + 0.5f) / 4.f - 0.5f); float jx = (sub & 1) ? 0.75f : 0.25f, jy = (sub == 1 || sub == 2) ? 0.75f : 0.25f; float px = i + jx, py = j + jy; float c[3] = {0, 0, 0};
  unsigned seed = (unsigned)p[SEED]; float *o = out + (long long)n * 3 * SZ * SZ + q; const int PL = SZ * SZ;
  if (px < p[BLACK] || py < p[BLACK + 1] || px > p[BLACK + 2] || py > p[BLACK + 3]) return;
  const float *cl = clut + (long long)n * NC * CP; int hit = -1;
  for (int k = NC - 1; k >= 0; k--) { const float *e = cl + k * CP; if (e[0] < 0.5f) continue; float dx = px - e[1], dy = py - e[2], cs = cos(e[5]), sn = sin(e[5]); float u = (cs * dx + sn * dy) / e[3], v = (-sn * dx + cs * dy) / e[4]; bool in = e[0] == 2.f ? u * u + v * v < 1 : (fabs(u) < 1 && fabs(v) < 1); if (in && (hit < 0 || e[9] > 0.5f)) { hit = k; if (e[9] > 0.5f) break; } }
  u64 key = zb[((long long)n * SZ + j) * SZ + i]; bool lit = false;
  if (hit >= 0 && cl[hit * CP + 9] > 0.5f) { const float *e = cl + hit * CP; for (int k = 0; k < 3; k++) c[k] = e[6 + k]; }
  else if (key != ~0ull) {
    unsigned id = (unsigned)key; int pass = (id >> 30) & 1, t = id & 0x3fffffff; int m = pass ? (n + 1) % count : n; const float *g = ip + (long long)m * NP; float s[3][3], w[3][3]; int vi[3]; bool ok = true;
    for (int k = 0; k < 3; k++) { vi[k] = tri[3 * t + k]; placed(n, pass, vi[k], count, nvT, P, V, p, tau, w[k]); ok = project(p + PCAM, w[k], 1, s[k]) && ok; }
    float area = (s[1][0] - s[0][0]) * (s[2][1] - s[0][1]) - (s[2][0] - s[0][0]) * (s[1][1] - s[0][1]); float ia = 1.f / area;
    float b1 = ((px - s[0][0]) * (s[2][1] - s[0][1]) - (s[2][0] - s[0][0]) * (py - s[0][1])) * ia, b2 = ((s[1][0] - s[0][0]) * (py - s[0][1]) - (px - s[0][0]) * (s[1][1] - s[0][1])) * ia, bb[3] = {1.f - b1 - b2, b1, b2};
    float nn[3] = {0, 0, 0}, ww[3] = {0, 0, 0}, a[NA], r[3] = {0, 0, 0}; for (int k = 0; k < NA; k++) a[k] = 0; bool body = vi[0] < nv && vi[1] < nv && vi[2] < nv; int shp = shape[m], bs = base[m];
    for (int k = 0; k < 3; k++) { const float *nk = N + ((long long)m * nvT + vi[k]) * 3; for (int z = 0; z < 3; z++) { nn[z] += bb[k] * nk[z]; ww[z] += bb[k] * w[k][z]; } if (body) { const float *ak = attr + ((long long)bs * nv + vi[k]) * NA, *rk = rest + ((long long)shp * nv + vi[k]) * 3; for (int z = 0; z < NA; z++) a[z] += bb[k] * ak[z]; for (int z = 0; z < 3; z++) r[z] += bb[k] * rk[z]; } }
    if (pass) { float X = p[EXC] * nn[0] + p[EXS] * nn[2], Z = -p[EXS] * nn[0] + p[EXC] * nn[2]; nn[0] = X; nn[2] = Z; }
    float spec = 0;
    if (!body) { float k = 0.7f + 0.6f * noise3(ww[0] * 90, ww[1] * 90, ww[2] * 90, seed); for (int z = 0; z < 3; z++) c[z] = g[HAIR + z] * k; spec = 0.15f; }
    else if (t >= nbt) { float d = (r[1] - g[EYEY]) * (r[1] - g[EYEY]) + (fabs(r[2]) - g[EYEZ]) * (fabs(r[2]) - g[EYEZ]); float k = d < 3.6e-5f ? 0.08f : 0.8f; c[0] = c[1] = c[2] = k; }
    else {
      bool leg = a[0] > 0.5f, arm = a[2] > 0.5f, head = a[5] > 0.5f; float az = fabs(r[2]);
      float k = 1.f - g[SKINN] * (noise3(r[0] * 38, r[1] * 38, r[2] * 38, 11u) * .5f + noise3(r[0] * 9, r[1] * 9, r[2] * 9, 12u) - 0.7f); for (int z = 0; z < 3; z++) c[z] = g[SKIN + z] * k; spec = g[SPEC];
      if (head && r[0] > g[FACEX]) { float e1 = (az - g[EYEZ]) / .02f, e2 = (r[1] - g[EYEY] - .02f) / .0045f; if (e1 * e1 + e2 * e2 < 1) for (int z = 0; z < 3; z++) c[z] = mixf(c[z], g[HAIR + z], .8f); float l1 = r[2] / .023f, l2 = (r[1] - g[LIPY]) / .009f; if (l1 * l1 + l2 * l2 < 1) { c[0] *= .85f; c[1] *= .55f; c[2] *= .55f; } }
      if (leg && a[1] > g[SOCKS]) for (int z = 0; z < 3; z++) c[z] = g[SOCK + z];
      bool bot = leg ? (a[1] < g[LEGLEN] && (g[CUT] <= 0 || a[7] > g[CUT] * (az - 0.025f > 0 ? az - 0.025f : 0.f))) : (a[4] < g[WAIST] && !arm && !head && (g[CUT] <= 0 || a[7] > g[CUT] * (az - 0.025f > 0 ? az - 0.025f : 0.f)));
      if (bot) { pattern(g[BOTPAT], g + BOTA, g + BOTB, r[0] + r[2], r[1], g[PATF], 21u, c); spec = g[SPEC] * .5f; }
      bool top = !leg && !head && (arm ? a[3] < g[SLEEVE] : (a[4] > g[HEM] && a[4] < g[NECK] - 0.8f * (az < 0.05f ? 0.f : 0.f)));
      if (top) { pattern(g[TOPPAT], g + TOPA, g + TOPB, r[0] + r[2], r[1], g[PATF], 22u, c); spec = g[SPEC] * .5f; }
      if (head && a[6] > g[HAIRL]) { float h = 0.7f + 0.6f * noise3(r[0] * 60, r[1] * 60, r[2] * 200, 31u); for (int z = 0; z < 3; z++) c[z] = g[HAIR + z] * h; spec = 0.12f; }
    }
    float vx = p[CAM] - ww[0], vy = p[CAM + 1] - ww[1], vz = p[CAM + 2] - ww[2], vl = 1.f / sqrt(vx * vx + vy * vy + vz * vz); vx *= vl; vy *= vl; vz *= vl; float nl = 1.f / (sqrt(nn[0] * nn[0] + nn[1] * nn[1] + nn[2] * nn[2]) + 1e-9f); for (int z = 0; z < 3; z++) nn[z] *= nl; if (nn[0] * vx + nn[1] * vy + nn[2] * vz < 0) for (int z = 0; z < 3; z++) nn[z] = -nn[z];
    float nd = nn[0] * p[SUN] + nn[1] * p[SUN + 1] + nn[2] * p[SUN + 2]; float sh = nd > 0 ? mixf(1.f, sunlit(p, sb, n, ww, p[BIAS]), p[SHADOW]) : 0.f; float hx = vx + p[SUN], hy = vy + p[SUN + 1], hz = vz + p[SUN + 2], hl = 1.f / (sqrt(hx * hx + hy * hy + hz * hz) + 1e-9f); float hd = (nn[0] * hx + nn[1] * hy + nn[2] * hz) * hl; float sp = hd > 0 ? pow(hd, 24.f) * spec * sh : 0.f; float up = 0.5f + 0.5f * nn[1];
    for (int z = 0; z < 3; z++) { float l = p[AMB] * mixf(p[DNC + z], p[UPC + z], up) + (nd > 0 ? nd * sh * p[SUNI] * p[SUNC + z] : 0.f); c[z] = c[z] * l + sp * p[SUNI]; }
    lit = true;
  } else if (hit >= 0) { const float *e = cl + hit * CP; float A[3] = {e[6], e[7], e[8]}, B[3] = {1.f - e[8], e[6] * 0.6f, e[7]}; pattern(e[0] >= 3.f ? e[0] - 2.f : 0.f, A, B, px, py, 0.06f + 0.2f * cell(hit, 3, 9, seed), seed + hit, c); }
  else {
    float d[3]; for (int z = 0; z < 3; z++) d[z] = p[RAY + 3 * z] * px + p[RAY + 3 * z + 1] * py + p[RAY + 3 * z + 2]; float tf = d[1] < -1e-6f ? (p[FLOORY] - p[CAM + 1]) / d[1] : 1e9f; float wn[3] = {sin(p[WALLANG]), 0.f, cos(p[WALLANG])}; float den = d[0] * wn[0] + d[2] * wn[2]; float tw = den < -1e-6f ? (-p[WALLD] - p[CAM] * wn[0] - p[CAM + 2] * wn[2]) / den : 1e9f;
    if (tw < 0) tw = 1e9f; if (tf < 0) tf = 1e9f;
    if (tf < tw && tf < 60.f * 10.f) { float X = p[CAM] + tf * d[0], Z = p[CAM + 2] + tf * d[2]; float cs = cos(p[FLANG]), sn = sin(p[FLANG]); pattern(p[FLPAT], p + FLA, p + FLB, cs * X + sn * Z, -sn * X + cs * Z, p[FLF], seed + 1u, c); float gr = 0.92f + 0.16f * noise3(X * 23.f, Z * 23.f, 1.f, seed); if (p[LINEW] > 0 && fabs(Z - p[LINEZ]) < p[LINEW]) for (int z = 0; z < 3; z++) c[z] = 0.85f; float w[3] = {X, p[FLOORY], Z}; float sh = mixf(1.f, sunlit(p, sb, n, w, p[BIAS]), p[SHADOW]); for (int z = 0; z < 3; z++) c[z] *= gr * (p[AMB] * p[UPC + z] + sh * p[SUN + 1] * p[SUNI] * p[SUNC + z]); lit = true; }
    else if (tw < 1e8f) { float X = p[CAM] + tw * d[0], Y = p[CAM + 1] + tw * d[1], Z = p[CAM + 2] + tw * d[2]; float u = X * wn[2] - Z * wn[0]; pattern(p[WPAT], p + WA, p + WB, u, Y, p[WF], seed + 2u, c); float gr = 0.95f + 0.1f * noise3(u * 11.f, Y * 11.f, 4.f, seed); for (int z = 0; z < 3; z++) c[z] *= gr * (p[AMB] + 0.6f * p[SUNI]); lit = true; }
    else for (int z = 0; z < 3; z++) c[z] = p[SKY + z];
  }
  (void)lit; for (int z = 0; z < 3; z++) { float x = clampf(c[z] * p[EXPO], 0.f, 4.f); x = x / (1.f + 0.18f * x); o[z * PL] += 0.25f * pow(clampf(x, 0.f, 1.f), p[GAMMA]); }
}

#define SKIN_ARGS int nvT, int nv, const float *rest, const float *nrm, const unsigned char *wi, const float *wv, const float *attr, const float *mats, const float *quats, const int *shape, const int *base, const float *ball, const float *headRest, const float *ip, float *outP, float *outV, float *outN
#define SKIN_PASS nvT, nv, rest, nrm, wi, wv, attr, mats, quats, shape, base, ball, headRest, ip, outP, outV, outN
#define RASTER_ARGS int count, int nt, int nvT, int pass, int mode, int sub, const int *tri, const float *P, const float *V, const float *ip, u64 *zb
#define RASTER_PASS count, nt, nvT, pass, mode, sub, tri, P, V, ip, zb
#define SHADE_ARGS int count, int nt, int nbt, int nvT, int nv, int sub, const int *tri, const float *P, const float *V, const float *N, const float *rest, const float *attr, const int *shape, const int *base, const float *ip, const float *clut, const u64 *zb, const u64 *sb, float *out
#define SHADE_PASS count, nt, nbt, nvT, nv, sub, tri, P, V, N, rest, attr, shape, base, ip, clut, zb, sb, out
#if defined(__CUDACC__) || defined(__CUDACC_RTC__)
#define EACH(name, args, call) extern "C" __global__ void name(long long items, args) { long long item = (long long)blockIdx.x * blockDim.x + threadIdx.x; if (item < items) call; }
#else
#define EACH(name, args, call) extern "C" void name(long long items, args) { for (long long item = 0; item < items; item++) call; }
#endif
EACH(skin, SKIN_ARGS, skinItem(item, SKIN_PASS))
EACH(raster, RASTER_ARGS, rasterItem(item, RASTER_PASS))
EACH(shade, SHADE_ARGS, shadeItem(item, SHADE_PASS))
