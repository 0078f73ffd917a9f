#include <stdint.h>
#include <stdlib.h>
#include <string.h>

#include "book/map_database.h"
#include "exchange/areas.h"
#include "exchange/wkb.h"
#include "fuzz/own_file.h"

int LLVMFuzzerTestOneInput(const uint8_t *bytes, size_t n);

static lw_code take_area(void *context, const lw_area_row *row, lw_err *err)
{
    (void)context;
    (void)err;
    if (!row->key[0] || row->shape.rings == 0)
        abort();
    (void)lw_shape_place(&row->shape, (lw_spot){38.0, -112.0});
    return LW_OK;
}

static void take_field(void *context, const char *name, const char *text)
{
    lw_areas_field(context, name, text);
}

static void look_at_field(void *context, const char *name)
{
    (void)lw_areas_knows_manager(context, name);
}

static lw_code take_geometry(void *context, const unsigned char *blob, size_t n, lw_err *err)
{
    size_t wkb_n = 0;
    const unsigned char *wkb = blob ? lw_wkb_of_geopackage(blob, n, &wkb_n) : NULL;
    return lw_areas_wkb(context, wkb, wkb_n, err);
}

/* A GeoPackage. */
int LLVMFuzzerTestOneInput(const uint8_t *bytes, size_t n)
{
    char path[OWN_FILE_PATH];
    lw_areas *areas = NULL;
    lw_areas_read read;
    lw_err err = {0};
    if (lw_areas_open(take_area, NULL, &read, &areas, &err))
        abort();
    const lw_map_rows rows = {take_field, take_geometry, NULL, areas};
    put_own_file(path, bytes, n);
    if (lw_map_database_fields(path, look_at_field, areas, &err) && !err.text[0])
        abort();
    err = (lw_err){0};
    if (lw_map_database_read(path, &rows, &err) && !err.text[0])
        abort();
    remove_own_file(path);
    lw_areas_close(areas);
    return 0;
}
