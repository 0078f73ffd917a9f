/* The form's own numbers of fields stand beside their use; source: OpenStreetMap wiki, "PBF Format" (published). */
#include <stdlib.h>
#include <string.h>
#include <zlib.h>

#include "exchange/osm_internal.h"
#include "exchange/wire.h"
#include "text/say.h"

enum { HEADER_MOST = 65536, TEXTS_MOST = 1 << 22 };

typedef struct grown {
    unsigned char *at;
    size_t room;
} grown;

typedef struct pbf {
    const lw_spots_run *run;
    lw_osm_gather *gather;
    grown packed, plain;
    long block;        /* counted from 1, for sentences */
    const char **text; /* of the block's table */
    size_t text_room, texts;
    int64_t granularity, latitude_offset, longitude_offset; /* nanodegrees */
    lw_osm_element element;
    lw_osm_tag tag[LW_OSM_TAGS];
    int64_t ref[LW_OSM_REFS];
    unsigned char ref_what[LW_OSM_REFS];
    lw_spot own[LW_OSM_REFS];
} pbf;

static lw_code damaged(const pbf *p, const char *what)
{
    return lw_fail(p->run->err, LW_E_SYNTAX, "block %ld of the PBF is damaged: %s", p->block, what);
}

/* ---- bytes ---- */

static int has_room(grown *g, size_t n)
{
    if (n <= g->room)
        return 1;
    unsigned char *at = realloc(g->at, n);
    if (!at)
        return 0;
    g->at = at;
    g->room = n;
    return 1;
}

/* 1: all of them; 0: the end before the first; -1: cut or refused, err is filled. */
static int read_whole(const pbf *p, unsigned char *to, size_t n)
{
    size_t have = 0;
    while (have < n) {
        const long got = p->run->read(p->run->source, (char *)to + have, n - have);
        if (got < 0) {
            (void)lw_fail(p->run->err, LW_E_IO, "cannot be read");
            return -1;
        }
        if (got == 0) {
            if (have)
                (void)damaged(p, "the file ends within it");
            return have ? -1 : 0;
        }
        have += (size_t)got;
    }
    return 1;
}

static lw_code take_bytes(const pbf *p, grown *to, size_t n)
{
    if (!has_room(to, n ? n : 1))
        return lw_fail(p->run->err, LW_E_FULL, "no memory for a block of %zu bytes", n);
    const int state = read_whole(p, to->at, n);
    return state > 0 || n == 0 ? LW_OK : state < 0 ? p->run->err->code : damaged(p, "the file ends within it");
}

/* ---- texts ---- */

/* Each text moves one byte down over its own length, which makes room for a NUL behind it. */
static lw_code take_table(pbf *p, lw_wire table)
{
    lw_wire_field f;
    p->texts = 0;
    while (lw_wire_next(&table, &f)) {
        if (f.number != 1 || f.kind != LW_WIRE_BYTES)
            continue;
        if (p->texts == p->text_room) {
            const size_t room = p->text_room ? 2 * p->text_room : 4096;
            const char **text = room <= TEXTS_MOST ? realloc(p->text, room * sizeof *text) : NULL;
            if (!text)
                return lw_fail(p->run->err, LW_E_FULL, "block %ld has more than %zu texts", p->block, p->text_room);
            p->text = text;
            p->text_room = room;
        }
        const size_t n = (size_t)(f.bytes.end - f.bytes.at);
        char *to = (char *)p->plain.at + (f.bytes.at - p->plain.at) - 1;
        memmove(to, f.bytes.at, n);
        to[n] = '\0';
        p->text[p->texts++] = to;
    }
    return table.is_bad ? damaged(p, "its table of texts") : LW_OK;
}

static int add_tag(pbf *p, uint64_t key, uint64_t value)
{
    if (key >= p->texts || value >= p->texts || p->element.tags == LW_OSM_TAGS)
        return 0;
    p->tag[p->element.tags++] = (lw_osm_tag){p->text[key], p->text[value]};
    return 1;
}

static int take_tags(pbf *p, lw_wire keys, lw_wire values)
{
    while (lw_wire_is_left(&keys) && lw_wire_is_left(&values))
        if (!add_tag(p, lw_wire_varint(&keys), lw_wire_varint(&values)))
            return 0;
    return !keys.is_bad && !values.is_bad;
}

/* ---- elements ---- */

/* From the block's grid to ten-millionths of a degree; what does not fit is far from the earth and refused as such. */
static int64_t e7_of(const pbf *p, int64_t steps, int64_t offset)
{
    if (steps > 4000000000000 || steps < -4000000000000)
        return INT64_MAX;
    const int64_t nano_deg = steps * p->granularity + offset;
    return nano_deg / 100 + (nano_deg % 100 >= 50) - (nano_deg % 100 <= -50);
}

static lw_code hand_over(pbf *p)
{
    p->element.tag = p->tag;
    p->element.ref = p->ref;
    p->element.own = p->own;
    p->element.ref_what = p->ref_what;
    return lw_osm_take(p->gather, &p->element);
}

static void begin_node(pbf *p, int64_t id, int64_t latitude, int64_t longitude)
{
    p->element = (lw_osm_element){.what = LW_OSM_NODE,
                                  .id = id,
                                  .latitude_e7 = e7_of(p, latitude, p->latitude_offset),
                                  .longitude_e7 = e7_of(p, longitude, p->longitude_offset)};
}

static lw_code take_dense(pbf *p, lw_wire message)
{
    lw_wire ids = {0}, latitudes = {0}, longitudes = {0}, tags = {0};
    lw_wire_field f;
    while (lw_wire_next(&message, &f))
        switch (f.number) {
        case 1:
            ids = f.bytes;
            break;
        case 8:
            latitudes = f.bytes;
            break;
        case 9:
            longitudes = f.bytes;
            break;
        case 10:
            tags = f.bytes;
            break;
        default:
            break;
        }
    int64_t id = 0, latitude = 0, longitude = 0;
    while (lw_wire_is_left(&ids)) {
        id = lw_wire_add(id, lw_wire_varint(&ids));
        latitude = lw_wire_add(latitude, lw_wire_varint(&latitudes));
        longitude = lw_wire_add(longitude, lw_wire_varint(&longitudes));
        begin_node(p, id, latitude, longitude);
        while (lw_wire_is_left(&tags)) {
            const uint64_t key = lw_wire_varint(&tags);
            if (key == 0)
                break;
            if (!add_tag(p, key, lw_wire_varint(&tags)))
                return damaged(p, "a tag without its text");
        }
        if (ids.is_bad || latitudes.is_bad || longitudes.is_bad || tags.is_bad)
            break;
        const lw_code code = hand_over(p);
        if (code)
            return code;
    }
    return message.is_bad || ids.is_bad || latitudes.is_bad || longitudes.is_bad || tags.is_bad
               ? damaged(p, "its nodes")
               : LW_OK;
}

static lw_code take_node(pbf *p, lw_wire message)
{
    lw_wire keys = {0}, values = {0};
    lw_wire_field f;
    int64_t id = 0, latitude = 0, longitude = 0;
    while (lw_wire_next(&message, &f))
        switch (f.number) {
        case 1:
            id = lw_wire_zigzag(f.value);
            break;
        case 2:
            keys = f.bytes;
            break;
        case 3:
            values = f.bytes;
            break;
        case 8:
            latitude = lw_wire_zigzag(f.value);
            break;
        case 9:
            longitude = lw_wire_zigzag(f.value);
            break;
        default:
            break;
        }
    begin_node(p, id, latitude, longitude);
    return message.is_bad || !take_tags(p, keys, values) ? damaged(p, "a node") : hand_over(p);
}

static int take_refs(pbf *p, lw_wire refs, lw_wire types)
{
    int64_t ref = 0;
    while (lw_wire_is_left(&refs) && p->element.refs < LW_OSM_REFS) {
        ref = lw_wire_add(ref, lw_wire_varint(&refs));
        p->ref_what[p->element.refs] = (unsigned char)(lw_wire_is_left(&types) ? lw_wire_varint(&types) & 3 : 0);
        p->ref[p->element.refs++] = ref;
    }
    return refs.at == refs.end && !refs.is_bad && !types.is_bad;
}

/* A way that brings the places of its corners along, as some programs write them. */
static int take_own_corners(pbf *p, lw_wire latitudes, lw_wire longitudes)
{
    int64_t latitude = 0, longitude = 0;
    while (lw_wire_is_left(&latitudes) && lw_wire_is_left(&longitudes)) {
        latitude = lw_wire_add(latitude, lw_wire_varint(&latitudes));
        longitude = lw_wire_add(longitude, lw_wire_varint(&longitudes));
        const lw_spot corner = {(double)e7_of(p, latitude, p->latitude_offset) * 1e-7,
                                (double)e7_of(p, longitude, p->longitude_offset) * 1e-7};
        lw_fault fault;
        if (lw_spot_check(&corner, &fault))
            continue; /* a corner that was not in the extract is written as one beyond the earth */
        lw_spot_box_add(&p->element.box, corner);
        if (p->element.owns < LW_OSM_REFS)
            p->own[p->element.owns++] = corner;
    }
    return !latitudes.is_bad && !longitudes.is_bad;
}

/* Ways and relations: the same but for where their members stand. */
static lw_code take_group_of_members(pbf *p, lw_osm_what what, lw_wire message)
{
    const uint32_t refs_at = what == LW_OSM_WAY ? 8 : 9;
    lw_wire keys = {0}, values = {0}, refs = {0}, types = {0}, latitudes = {0}, longitudes = {0};
    lw_wire_field f;
    p->element = (lw_osm_element){.what = what};
    while (lw_wire_next(&message, &f))
        if (f.number == 1)
            p->element.id = (int64_t)f.value;
        else if (f.number == 2)
            keys = f.bytes;
        else if (f.number == 3)
            values = f.bytes;
        else if (f.number == refs_at)
            refs = f.bytes;
        else if (f.number == 10)
            *(what == LW_OSM_WAY ? &longitudes : &types) = f.bytes;
        else if (f.number == 9)
            latitudes = f.bytes;
    if (message.is_bad || !take_tags(p, keys, values) || !take_refs(p, refs, types) ||
        !take_own_corners(p, latitudes, longitudes))
        return damaged(p, what == LW_OSM_WAY ? "a way" : "a relation");
    return hand_over(p);
}

static lw_code take_group(pbf *p, lw_wire group)
{
    static const lw_osm_what WHAT[] = {[1] = LW_OSM_NODE, [2] = LW_OSM_NODE, [3] = LW_OSM_WAY, [4] = LW_OSM_RELATION};
    lw_wire_field f;
    lw_code code = LW_OK;
    while (!code && lw_wire_next(&group, &f)) {
        if (f.number < 1 || f.number > 4 || f.kind != LW_WIRE_BYTES || !lw_osm_wants(p->gather, WHAT[f.number]))
            continue;
        p->element.tags = 0;
        code = f.number == 1   ? take_node(p, f.bytes)
               : f.number == 2 ? take_dense(p, f.bytes)
                               : take_group_of_members(p, WHAT[f.number], f.bytes);
    }
    return code ? code : group.is_bad ? damaged(p, "a group") : LW_OK;
}

static lw_code take_block(pbf *p, lw_wire block)
{
    const lw_wire all = block;
    lw_wire table = {0};
    lw_wire_field f;
    p->granularity = 100;
    p->latitude_offset = p->longitude_offset = 0;
    while (lw_wire_next(&block, &f))
        if (f.number == 1)
            table = f.bytes;
        else if (f.number == 17)
            p->granularity = (int64_t)f.value;
        else if (f.number == 19)
            p->latitude_offset = (int64_t)f.value;
        else if (f.number == 20)
            p->longitude_offset = (int64_t)f.value;
    if (block.is_bad)
        return damaged(p, "its fields");
    if (p->granularity < 1 || p->granularity > 1000000 || llabs(p->latitude_offset) > 400000000000 ||
        llabs(p->longitude_offset) > 400000000000)
        return damaged(p, "its grid");
    lw_code code = take_table(p, table);
    for (block = all; !code && lw_wire_next(&block, &f);)
        if (f.number == 2 && f.kind == LW_WIRE_BYTES)
            code = take_group(p, f.bytes);
    return code;
}

/* ---- the file ---- */

static int is_text(const lw_wire *bytes, const char *text)
{
    const size_t n = strlen(text);
    return (size_t)(bytes->end - bytes->at) == n && memcmp(bytes->at, text, n) == 0;
}

static lw_code take_header(pbf *p, lw_wire header)
{
    lw_wire_field f;
    while (lw_wire_next(&header, &f)) {
        if (f.number == 32)
            p->run->out->data_s = (int64_t)f.value;
        if (f.number == 4 && f.kind == LW_WIRE_BYTES && !is_text(&f.bytes, "OsmSchema-V0.6") &&
            !is_text(&f.bytes, "DenseNodes"))
            return lw_fail(p->run->err, LW_E_SYNTAX, "this PBF needs '%s', which is not read; a plain extract is",
                           lw_quoted((const char *)f.bytes.at, (size_t)(f.bytes.end - f.bytes.at)).text);
    }
    return header.is_bad ? damaged(p, "the header") : LW_OK;
}

static lw_code unpack(pbf *p, lw_wire packed, uint64_t size)
{
    uLongf n = (uLongf)size;
    if (size > LW_OSM_BLOCK_BYTES)
        return lw_fail(p->run->err, LW_E_FULL, "block %ld unpacks to more than %d bytes, the most that a PBF may have",
                       p->block, LW_OSM_BLOCK_BYTES);
    if (!has_room(&p->plain, size ? (size_t)size : 1))
        return lw_fail(p->run->err, LW_E_FULL, "no memory for a block of %llu bytes", (unsigned long long)size);
    if (uncompress(p->plain.at, &n, packed.at, (uLong)(packed.end - packed.at)) != Z_OK || n != size)
        return damaged(p, "it does not unpack to its size");
    return LW_OK;
}

/* The blob's bytes as they are, or unpacked, end up in p->plain. */
static lw_code open_blob(pbf *p, size_t n, lw_wire *plain)
{
    lw_wire blob = lw_wire_of(p->packed.at, n), raw = {0}, zlib = {0};
    lw_wire_field f;
    uint64_t size = 0;
    int is_other = 0;
    while (lw_wire_next(&blob, &f))
        if (f.number == 1)
            raw = f.bytes;
        else if (f.number == 2)
            size = f.value;
        else if (f.number == 3)
            zlib = f.bytes;
        else
            is_other |= f.number >= 4 && f.number <= 7;
    if (blob.is_bad)
        return damaged(p, "its fields");
    if (raw.at) {
        size = (uint64_t)(raw.end - raw.at);
        if (!has_room(&p->plain, size ? (size_t)size : 1))
            return lw_fail(p->run->err, LW_E_FULL, "no memory for a block of %llu bytes", (unsigned long long)size);
        memcpy(p->plain.at, raw.at, (size_t)size);
    } else if (zlib.at) {
        const lw_code code = unpack(p, zlib, size);
        if (code)
            return code;
    } else {
        return is_other ? lw_fail(p->run->err, LW_E_SYNTAX,
                                  "its blocks are packed in another way than zlib; write it anew with zlib")
                        : damaged(p, "it is empty");
    }
    *plain = lw_wire_of(p->plain.at, (size_t)size);
    return LW_OK;
}

/* *n: bytes that follow. */
static lw_code take_blob_header(pbf *p, size_t header_n, int *is_data, int *is_header, size_t *n)
{
    lw_code code = take_bytes(p, &p->packed, header_n);
    if (code)
        return code;
    lw_wire header = lw_wire_of(p->packed.at, header_n);
    lw_wire_field f;
    uint64_t size = 0;
    *is_data = *is_header = 0;
    while (lw_wire_next(&header, &f))
        if (f.number == 1) {
            *is_data = is_text(&f.bytes, "OSMData");
            *is_header = is_text(&f.bytes, "OSMHeader");
        } else if (f.number == 3) {
            size = f.value;
        }
    if (header.is_bad)
        return damaged(p, "its header");
    if (size > LW_OSM_BLOCK_BYTES)
        return lw_fail(p->run->err, LW_E_FULL, "block %ld has more than %d bytes, the most that a PBF may have",
                       p->block, LW_OSM_BLOCK_BYTES);
    *n = (size_t)size;
    return LW_OK;
}

static lw_code next_blob(pbf *p, int *is_end)
{
    unsigned char size[4];
    int is_data = 0, is_header = 0;
    size_t n = 0;
    lw_wire plain;
    p->block++;
    const int state = read_whole(p, size, sizeof size);
    *is_end = state == 0;
    if (state <= 0)
        return state < 0 ? p->run->err->code : LW_OK;
    const size_t header_n = (size_t)size[0] << 24 | (size_t)size[1] << 16 | (size_t)size[2] << 8 | size[3];
    if (header_n > HEADER_MOST)
        return damaged(p, "its header is too long");
    lw_code code = take_blob_header(p, header_n, &is_data, &is_header, &n);
    code = code ? code : take_bytes(p, &p->packed, n);
    if (code || (!is_data && !is_header))
        return code;
    code = open_blob(p, n, &plain);
    return code ? code : is_header ? take_header(p, plain) : take_block(p, plain);
}

lw_code lw_osm_pbf(const lw_spots_run *run, lw_osm_gather *gather)
{
    pbf *p = calloc(1, sizeof *p);
    int is_end = 0;
    lw_code code = LW_OK;
    if (!p)
        return lw_fail(run->err, LW_E_FULL, "no memory to read places");
    p->run = run;
    p->gather = gather;
    while (!code && !is_end)
        code = next_blob(p, &is_end);
    free(p->packed.at);
    free(p->plain.at);
    free(p->text);
    free(p);
    return code;
}
