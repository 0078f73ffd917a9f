#include "core/land/hexagon.h"

#include <math.h>
#include <stddef.h>

static const double RAD = 0.017453292519943295; /* pi / 180 */
static const double ROOT_3 = 1.7320508075688772, ROOT_7 = 2.6457513110645906;
static const double STEP =
    0.38196601125010500; /* of resolution 0 on the plane, earth's radius 1: a third of a face's edge there */
static const double EDGE =
    1.0; /* how far an edge is from the middle of its face, in such steps; a corner is twice as far */

enum { BASES = 122, DIGITS = 15, UNUSED = 7 };

/* Middle of each face, and the azimuth of its first axis, radians. */
static const struct {
    double latitude_rad, longitude_rad, azimuth_rad;
} FACE[LW_HEX_FACES] = {
    {0.803582649718989942, 1.248397419617396099, 5.619958268523939882},
    {1.307747883455638156, 2.536945009877921159, 5.760339081714187279},
    {1.054751253523952054, -1.347517358900396623, 0.780213654393430055},
    {0.600191595538186799, -0.450603909469755746, 0.430469363979999913},
    {0.491715428198773866, 0.401988202911306943, 6.130269123335111400},
    {0.172745327415618701, 1.678146885280433686, 2.692877706530642877},
    {0.605929321571350690, 2.953923329812411617, 2.982963003477243874},
    {0.427370518328979641, -1.888876200336285401, 3.532912002790141181},
    {-0.079066118549212831, -0.733429513380867741, 3.494305004259568154},
    {-0.230961644455383637, 0.506495587332349035, 3.003214169499538391},
    {0.079066118549212831, 2.408163140208925497, 5.930472956509811562},
    {0.230961644455383637, -2.635097066257444203, 0.138378484090254847},
    {-0.172745327415618701, -1.463445768309359553, 0.448714947059150361},
    {-0.605929321571350690, -0.187669323777381622, 0.158629650112549365},
    {-0.427370518328979641, 1.252716453253507838, 5.891865957979238535},
    {-0.600191595538186799, 2.690988744120037492, 2.711123289609793325},
    {-0.491715428198773866, -2.739604450678486295, 3.294508837434268316},
    {-0.803582649718989942, -1.893195233972397139, 3.804819692245439833},
    {-1.307747883455638156, -0.604647643711872080, 3.664438879055192436},
    {-1.054751253523952054, 1.794075294689396615, 2.361378999196363184},
};

/* Each base cell's own face, and its place there: steps along the three axes, which are a third of a turn apart. */
static const struct {
    unsigned char face, i, j, k;
} BASE[BASES] = {
    {1, 1, 0, 0},  {2, 1, 1, 0},  {1, 0, 0, 0},  {2, 1, 0, 0},  {0, 2, 0, 0},  {1, 1, 1, 0},  {1, 0, 0, 1},
    {2, 0, 0, 0},  {0, 1, 0, 0},  {2, 0, 1, 0},  {1, 0, 1, 0},  {1, 0, 1, 1},  {3, 1, 0, 0},  {3, 1, 1, 0},
    {11, 2, 0, 0}, {4, 1, 0, 0},  {0, 0, 0, 0},  {6, 0, 1, 0},  {0, 0, 0, 1},  {2, 0, 1, 1},  {7, 0, 0, 1},
    {2, 0, 0, 1},  {0, 1, 1, 0},  {6, 0, 0, 1},  {10, 2, 0, 0}, {6, 0, 0, 0},  {3, 0, 0, 0},  {11, 1, 0, 0},
    {4, 1, 1, 0},  {3, 0, 1, 0},  {0, 0, 1, 1},  {4, 0, 0, 0},  {5, 0, 1, 0},  {0, 0, 1, 0},  {7, 0, 1, 0},
    {11, 1, 1, 0}, {7, 0, 0, 0},  {10, 1, 0, 0}, {12, 2, 0, 0}, {6, 1, 0, 1},  {7, 1, 0, 1},  {4, 0, 0, 1},
    {3, 0, 0, 1},  {3, 0, 1, 1},  {4, 0, 1, 0},  {6, 1, 0, 0},  {11, 0, 0, 0}, {8, 0, 0, 1},  {5, 0, 0, 1},
    {14, 2, 0, 0}, {5, 0, 0, 0},  {12, 1, 0, 0}, {10, 1, 1, 0}, {4, 0, 1, 1},  {12, 1, 1, 0}, {7, 1, 0, 0},
    {11, 0, 1, 0}, {10, 0, 0, 0}, {13, 2, 0, 0}, {10, 0, 0, 1}, {11, 0, 0, 1}, {9, 0, 1, 0},  {8, 0, 1, 0},
    {6, 2, 0, 0},  {8, 0, 0, 0},  {9, 0, 0, 1},  {14, 1, 0, 0}, {5, 1, 0, 1},  {16, 0, 1, 1}, {8, 1, 0, 1},
    {5, 1, 0, 0},  {12, 0, 0, 0}, {7, 2, 0, 0},  {12, 0, 1, 0}, {10, 0, 1, 0}, {9, 0, 0, 0},  {13, 1, 0, 0},
    {16, 0, 0, 1}, {15, 0, 1, 1}, {15, 0, 1, 0}, {16, 0, 1, 0}, {14, 1, 1, 0}, {13, 1, 1, 0}, {5, 2, 0, 0},
    {8, 1, 0, 0},  {14, 0, 0, 0}, {9, 1, 0, 1},  {14, 0, 0, 1}, {17, 0, 0, 1}, {12, 0, 0, 1}, {16, 0, 0, 0},
    {17, 0, 1, 1}, {15, 0, 0, 1}, {16, 1, 0, 1}, {9, 1, 0, 0},  {15, 0, 0, 0}, {13, 0, 0, 0}, {8, 2, 0, 0},
    {13, 0, 1, 0}, {17, 1, 0, 1}, {19, 0, 1, 0}, {14, 0, 1, 0}, {19, 0, 1, 1}, {17, 0, 1, 0}, {13, 0, 0, 1},
    {17, 0, 0, 0}, {16, 1, 0, 0}, {9, 2, 0, 0},  {15, 1, 0, 1}, {15, 1, 0, 0}, {18, 0, 1, 1}, {18, 0, 0, 1},
    {19, 0, 0, 1}, {17, 1, 0, 0}, {19, 0, 0, 0}, {18, 0, 1, 0}, {18, 1, 0, 1}, {19, 2, 0, 0}, {19, 1, 0, 0},
    {18, 0, 0, 0}, {19, 1, 0, 1}, {18, 1, 0, 0},
};

/* ---- points as complex numbers ---- */

static lw_hex_point times(lw_hex_point a, lw_hex_point b)
{
    return (lw_hex_point){a.x * b.x - a.y * b.y, a.x * b.y + a.y * b.x};
}

static lw_hex_point plus(lw_hex_point a, lw_hex_point b)
{
    return (lw_hex_point){a.x + b.x, a.y + b.y};
}

static lw_hex_point minus(lw_hex_point a, lw_hex_point b)
{
    return (lw_hex_point){a.x - b.x, a.y - b.y};
}

static lw_hex_point over(lw_hex_point a, lw_hex_point b)
{
    const double square = b.x * b.x + b.y * b.y;
    return times(a, (lw_hex_point){b.x / square, -b.y / square});
}

static lw_hex_point steps(double i, double j, double k)
{
    return (lw_hex_point){i - 0.5 * (j + k), 0.5 * ROOT_3 * (j - k)};
}

/* ---- the faces ---- */

static void on_ball(const lw_hex_face *face, lw_hex_point p, double out[3])
{
    double square = 0.0;
    for (int c = 0; c < 3; c++) {
        out[c] = face->middle[c] + STEP * (p.x * face->x[c] + p.y * face->y[c]);
        square += out[c] * out[c];
    }
    for (int c = 0; c < 3; c++)
        out[c] /= sqrt(square);
}

static void make_frame(int f, lw_hex_face *face)
{
    const double lat = FACE[f].latitude_rad, lon = FACE[f].longitude_rad, turn = FACE[f].azimuth_rad;
    const double north[3] = {-sin(lat) * cos(lon), -sin(lat) * sin(lon), cos(lat)},
                 east[3] = {-sin(lon), cos(lon), 0.0};
    face->middle[0] = cos(lat) * cos(lon);
    face->middle[1] = cos(lat) * sin(lon);
    face->middle[2] = sin(lat);
    for (int c = 0; c < 3; c++) {
        face->x[c] = cos(turn) * north[c] + sin(turn) * east[c];
        face->y[c] = sin(turn) * north[c] - cos(turn) * east[c];
    }
}

static lw_hex_point corner_of_face(int axis)
{
    return steps(axis == 0 ? 2.0 * EDGE : 0.0, axis == 1 ? 2.0 * EDGE : 0.0, axis == 2 ? 2.0 * EDGE : 0.0);
}

/* The axis of a face that ends in a point of the ball; -1: none does. */
static int axis_at(const lw_hex_face *face, const double at[3])
{
    for (int axis = 0; axis < 3; axis++) {
        double corner[3], apart = 0.0;
        on_ball(face, corner_of_face(axis), corner);
        for (int c = 0; c < 3; c++)
            apart += (corner[c] - at[c]) * (corner[c] - at[c]);
        if (apart < 1e-6)
            return axis;
    }
    return -1;
}

/* The other face that has both ends of the edge, and how its plane continues this one. */
static void join(lw_hex_grid *grid, int f, int axis)
{
    lw_hex_face *face = &grid->face[f];
    const lw_hex_point a = corner_of_face((axis + 1) % 3), b = corner_of_face((axis + 2) % 3);
    double at_a[3], at_b[3];
    on_ball(face, a, at_a);
    on_ball(face, b, at_b);
    for (int g = 0; g < LW_HEX_FACES; g++) {
        const int to_a = axis_at(&grid->face[g], at_a), to_b = axis_at(&grid->face[g], at_b);
        if (g == f || to_a < 0 || to_b < 0)
            continue;
        face->beyond[axis] = g;
        face->turn[axis] = over(minus(corner_of_face(to_b), corner_of_face(to_a)), minus(b, a));
        face->move[axis] = minus(corner_of_face(to_a), times(face->turn[axis], a));
    }
}

void lw_hex_grid_make(lw_hex_grid *grid)
{
    for (int f = 0; f < LW_HEX_FACES; f++)
        make_frame(f, &grid->face[f]);
    for (int f = 0; f < LW_HEX_FACES; f++)
        for (int axis = 0; axis < 3; axis++)
            join(grid, f, axis);
}

/* A point on the plane of a face, wherever it lies: folded over edges until it is on its own face. */
static lw_spot spot_of(const lw_hex_grid *grid, int f, lw_hex_point p)
{
    enum { FOLDS_MOST = 4 };
    double v[3];
    for (int fold = 0; fold < FOLDS_MOST; fold++) {
        int axis = 0;
        double most = -INFINITY;
        for (int k = 0; k < 3; k++) {
            const lw_hex_point toward = corner_of_face(k);
            const double outside = -(p.x * toward.x + p.y * toward.y) / (2.0 * EDGE) - EDGE;
            if (outside > most) {
                most = outside;
                axis = k;
            }
        }
        if (most <= 0.0)
            break;
        p = plus(times(grid->face[f].turn[axis], p), grid->face[f].move[axis]);
        f = grid->face[f].beyond[axis];
    }
    on_ball(&grid->face[f], p, v);
    return (lw_spot){atan2(v[2], sqrt(v[0] * v[0] + v[1] * v[1])) / RAD, atan2(v[1], v[0]) / RAD};
}

/* ---- cells ---- */

int lw_hex_resolution(uint64_t cell)
{
    return (int)(cell >> 52 & 15u);
}

static int base_of(uint64_t cell)
{
    return (int)(cell >> 45 & 127u);
}

static int digit_of(uint64_t cell, int resolution)
{
    return (int)(cell >> 3 * (DIGITS - resolution) & 7u);
}

/* Pentagons lie on the corners of faces. */
static int is_pentagon(int base)
{
    return BASE[base].i == 2;
}

static int leading_digit(uint64_t cell)
{
    for (int r = 1; r <= lw_hex_resolution(cell); r++)
        if (digit_of(cell, r))
            return digit_of(cell, r);
    return 0;
}

int lw_hex_is_cell(uint64_t cell)
{
    enum { MODE_CELL = 1, LEFT_OUT = 1 };
    if (cell >> 63 || (cell >> 59 & 15u) != MODE_CELL || cell >> 56 & 7u || base_of(cell) >= BASES)
        return 0;
    for (int r = 1; r <= DIGITS; r++)
        if ((digit_of(cell, r) == UNUSED) != (r > lw_hex_resolution(cell)))
            return 0;
    return !is_pentagon(base_of(cell)) || leading_digit(cell) != LEFT_OUT;
}

/* One step of a resolution as a complex number: steps shrink by the root of seven and turn to and fro. */
static lw_hex_point unit_of(int resolution)
{
    lw_hex_point unit = {1.0, 0.0};
    for (int r = 0; r < resolution; r++)
        unit.x /= ROOT_7;
    /* cosine and sine of the turn, asin(root(3 / 28)) */
    return resolution % 2 ? times(unit, (lw_hex_point){2.5 / ROOT_7, 0.5 * ROOT_3 / ROOT_7}) : unit;
}

/* From the middle of the base cell. Around a pentagon there is room for five of six directions only: those of the digits 4 and 5 are a
 * sixth of a turn on. */
static lw_hex_point way_of(uint64_t cell, lw_hex_point *around, int corners)
{
    static const lw_hex_point BACK = {0.5, -0.8660254037844386};
    lw_hex_point way = {0.0, 0.0};
    for (int r = 1; r <= lw_hex_resolution(cell); r++) {
        const int digit = digit_of(cell, r); /* its bits are the axes i, j, k */
        way = plus(way, times(unit_of(r), steps(digit >> 2, digit >> 1 & 1, digit & 1)));
    }
    const int is_on = is_pentagon(base_of(cell)) && (leading_digit(cell) == 4 || leading_digit(cell) == 5);
    for (int c = 0; c < corners; c++)
        around[c] = is_on ? times(around[c], BACK) : around[c];
    return is_on ? times(way, BACK) : way;
}

lw_spot lw_hex_middle(const lw_hex_grid *grid, uint64_t cell)
{
    const int base = base_of(cell);
    return spot_of(grid, BASE[base].face, plus(steps(BASE[base].i, BASE[base].j, BASE[base].k), way_of(cell, NULL, 0)));
}

int lw_hex_border(const lw_hex_grid *grid, uint64_t cell, lw_spot corner[LW_HEX_CORNERS])
{
    const int base = base_of(cell), count = is_pentagon(base) && leading_digit(cell) == 0 ? 5 : LW_HEX_CORNERS;
    lw_hex_point around[LW_HEX_CORNERS];
    for (int c = 0; c < LW_HEX_CORNERS; c++) {
        const double turn = RAD * (30.0 + 60.0 * c);
        around[c] = times(unit_of(lw_hex_resolution(cell)), (lw_hex_point){cos(turn) / ROOT_3, sin(turn) / ROOT_3});
    }
    const lw_hex_point middle =
        plus(steps(BASE[base].i, BASE[base].j, BASE[base].k), way_of(cell, around, LW_HEX_CORNERS));
    for (int c = 0; c < count; c++)
        corner[c] = spot_of(grid, BASE[base].face, plus(middle, around[c]));
    return count;
}
