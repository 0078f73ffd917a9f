#include "tests/check.h"

#include <stdint.h>
#include <stdlib.h>
#include <string.h>
#include <zlib.h>

#include "exchange/limits.h"
#include "exchange/spots.h"
#include "exchange/unpack.h"
#include "tests/exchange/drip.h"

/* zlib's own packer, and bytes put together as the zip format has them (tests/cli/places.case has Python's), are what is
 * unpacked. */

enum { MOST = 1 << 20 };
typedef struct packed {
    unsigned char bytes[MOST];
    size_t n;
} packed;

static void pack(packed *p, const void *from, size_t n, int window)
{
    z_stream z = {.next_in = (unsigned char *)(uintptr_t)from,
                  .avail_in = (uInt)n,
                  .next_out = p->bytes + p->n,
                  .avail_out = (uInt)(MOST - p->n)};
    assert_int_equal(deflateInit2(&z, 9, Z_DEFLATED, window, 9, Z_DEFAULT_STRATEGY), Z_OK);
    assert_int_equal(deflate(&z, Z_FINISH), Z_STREAM_END);
    p->n = MOST - z.avail_out;
    assert_int_equal(deflateEnd(&z), Z_OK);
}

static void put(packed *p, uint32_t value, int bytes)
{
    for (int i = 0; i < bytes; i++)
        p->bytes[p->n++] = (unsigned char)(value >> 8 * i);
}

static void put_text(packed *p, const char *text)
{
    memcpy(p->bytes + p->n, text, strlen(text));
    p->n += strlen(text);
}

typedef enum way { STORED, PACKED, SIZE_BEHIND } way;

static void put_file(packed *p, const char *name, const char *text, way how, uint32_t flags)
{
    const uint32_t crc = (uint32_t)crc32(0, (const unsigned char *)text, (uInt)strlen(text));
    const uint32_t n = (uint32_t)strlen(text);
    const size_t head = p->n;
    put(p, 0x04034b50u, 4), put(p, 20, 2), put(p, flags | (how == SIZE_BEHIND ? 8u : 0u), 2),
        put(p, how == STORED ? 0 : 8, 2), put(p, 0, 4);
    put(p, how == SIZE_BEHIND ? 0 : crc, 4), put(p, 0, 4), put(p, how == SIZE_BEHIND ? 0 : n, 4);
    put(p, (uint32_t)strlen(name), 2), put(p, 3, 2), put_text(p, name), put_text(p, "abc");
    const size_t body = p->n;
    if (how == STORED)
        put_text(p, text);
    else
        pack(p, text, n, -MAX_WBITS);
    const uint32_t packed_n = (uint32_t)(p->n - body);
    if (how == SIZE_BEHIND) {
        put(p, 0x08074b50u, 4), put(p, crc, 4), put(p, packed_n, 4), put(p, n, 4);
        return;
    }
    const size_t end = p->n;
    p->n = head + 18;
    put(p, packed_n, 4);
    p->n = end;
}

/* All that comes out, in pieces of `step` bytes of what goes in. */
static lw_code unpack_all(const packed *p, size_t step, char *to, size_t most, size_t *n, lw_err *err)
{
    drip source = {{(const char *)p->bytes, p->n}, step};
    lw_unpack *u = NULL;
    long got = 1;
    *n = 0;
    *err = (lw_err){0};
    assert_int_equal(lw_unpack_open(read_drip, &source, &u, err), LW_OK);
    while (got > 0) {
        got = lw_unpack_read(u, to + (most > *n ? *n : 0), most > *n ? most - *n : most);
        *n += got > 0 ? (size_t)got : 0;
    }
    const lw_code code = got < 0 ? lw_unpack_refuse(u, err) : LW_OK;
    lw_unpack_close(u);
    return code;
}

static packed made;
static char out[MOST];

static void check_comes_out(const char *want)
{
    lw_err err;
    size_t n;
    for (size_t step = 1; step <= made.n; step = step * 7 + 1) {
        const lw_code code = unpack_all(&made, step, out, sizeof out, &n, &err);
        if (code || n != strlen(want) || memcmp(out, want, n) != 0)
            fail_msg("in steps of %zu: %s; %zu bytes", step, err.text, n);
    }
}

static const char KML[] = "<kml><Placemark><name>Larkspur Flat</name><Point><coordinates>-112.4,38.1</coordinates>"
                          "</Point></Placemark></kml>";

static void the_kml_of_a_kmz_comes_out_whichever_way_it_was_packed(void **state)
{
    static const way WAYS[] = {STORED, PACKED, SIZE_BEHIND};
    (void)state;
    for (size_t i = 0; i < COUNT_OF(WAYS); i++) {
        made.n = 0;
        put_file(&made, "images/a.png", "no picture", WAYS[i] == STORED ? STORED : WAYS[i], 0);
        put_file(&made, "Doc.KML", KML, WAYS[i], 0);
        put_file(&made, "other.kml", "<kml/>", PACKED, 0);
        check_comes_out(KML);
    }
}

static void a_gzip_of_several_members_is_all_of_them(void **state)
{
    (void)state;
    made.n = 0;
    pack(&made, "one, ", 5, 16 + MAX_WBITS);
    pack(&made, "two", 3, 16 + MAX_WBITS);
    check_comes_out("one, two");
    put(&made, 0, 4); /* what pads a tape */
    check_comes_out("one, two");
}

/* So many members of a megabyte of zeros, packed to a thousandth. */
static void put_zeros(int members)
{
    static const char ZEROS[MOST];
    made.n = 0;
    pack(&made, ZEROS, sizeof ZEROS, 16 + MAX_WBITS);
    for (const size_t n = made.n; made.n < n * (size_t)members; made.n += n)
        memcpy(made.bytes + made.n, made.bytes, n);
}

static void what_unpacks_to_an_absurd_size_is_refused(void **state)
{
    lw_err err;
    size_t n;
    (void)state;
    put_zeros(200); /* 200 MB in 0.2 */
    assert_int_equal(unpack_all(&made, 65536, out, sizeof out, &n, &err), LW_E_FULL);
    assert_non_null(strstr(err.text, "hundreds of times its size"));
    assert_true(n <= LW_UNPACKED_FREE + sizeof out);
    put_zeros(26); /* a tile of flat sea */
    assert_int_equal(unpack_all(&made, 65536, out, sizeof out, &n, &err), LW_OK);
    assert_int_equal(n, 26 << 20);
}

static void what_is_no_kmz_is_refused_with_the_reason(void **state)
{
    lw_err err;
    size_t n;
    (void)state;
    made.n = 0;
    put_file(&made, "land.shp", "x", PACKED, 0);
    assert_int_equal(unpack_all(&made, 100, out, sizeof out, &n, &err), LW_E_SYNTAX);
    assert_non_null(strstr(err.text, "a zip without a map"));
    made.n = 0;
    put_file(&made, "doc.kml", KML, PACKED, 1);
    assert_int_equal(unpack_all(&made, 100, out, sizeof out, &n, &err), LW_E_SYNTAX);
    assert_non_null(strstr(err.text, "password"));
    made.n = 0;
    put_file(&made, "doc.kml", KML, STORED, 0);
    made.bytes[made.n - 9] ^= 1; /* one letter of it */
    assert_int_equal(unpack_all(&made, 100, out, sizeof out, &n, &err), LW_E_SYNTAX);
    assert_non_null(strstr(err.text, "damaged"));
    made.bytes[made.n - 9] ^= 1;
    for (size_t whole = made.n; made.n > 4; made.n--)
        if (made.n < whole)
            assert_int_not_equal(unpack_all(&made, 100, out, sizeof out, &n, &err), LW_OK);
    made.n = 0;
    for (int i = 0; i <= LW_ZIP_FILES; i++)
        put_file(&made, "a.txt", "x", STORED, 0);
    put_file(&made, "doc.kml", KML, STORED, 0);
    assert_int_equal(unpack_all(&made, 65536, out, sizeof out, &n, &err), LW_E_SYNTAX);
}

/* <gpx><wpt name="aaa... without an end. */
typedef struct endless {
    double given;
    size_t most;
} endless;

static long read_endless(void *context, char *buf, size_t n)
{
    static const char BEGIN[] = "<gpx><wpt lat='1' lon='2' name='";
    endless *e = context;
    if (e->given == 0.0) {
        memcpy(buf, BEGIN, sizeof BEGIN - 1);
        e->given = sizeof BEGIN - 1;
        return sizeof BEGIN - 1;
    }
    memset(buf, 'a', n);
    e->given += (double)n;
    return e->given < 1e9 ? (long)n : 0;
}

static lw_code take_none(void *context, const lw_spot_row *row, lw_err *err)
{
    (void)context, (void)row, (void)err;
    return LW_OK;
}

static void a_tag_without_an_end_is_refused_before_it_fills_the_memory(void **state)
{
    endless e = {0};
    lw_spots_read read;
    lw_err err = {0};
    (void)state;
    assert_int_equal(lw_spots_read_from(read_endless, NULL, &e, take_none, NULL, &read, &err), LW_E_FULL);
    assert_non_null(strstr(err.text, "a single tag"));
    assert_true(e.given < 2.0 * LW_XML_TAG_BYTES);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(the_kml_of_a_kmz_comes_out_whichever_way_it_was_packed),
        cmocka_unit_test(a_gzip_of_several_members_is_all_of_them),
        cmocka_unit_test(what_unpacks_to_an_absurd_size_is_refused),
        cmocka_unit_test(what_is_no_kmz_is_refused_with_the_reason),
        cmocka_unit_test(a_tag_without_an_end_is_refused_before_it_fills_the_memory),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
