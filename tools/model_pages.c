/* leeway-model-pages: writes docs/models/: a page for each model of core/models.h, and the list of them.
 *
 *   leeway-model-pages FOLDER    from the root of the checkout; FOLDER/examples/NAME.csv must be there for each model
 *
 * Columns come from the model's own table, formula and limits from the headers named below, and the example is run, so
 * that no page says what the program does not do. tests/checks/model_pages writes them anew and compares. */
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "core/models.h"
#include "service/model_run.h"

/* Where a model's formula is written down. */
static const struct {
    const char *model, *header[3];
} HEADERS[] = {
    {"sun", {"core/sky/spa.h"}},
    {"sun-events", {"core/sky/sun_events.h"}},
    {"clear-sky", {"core/sky/clear_sky.h"}},
    {"split", {"core/sky/split.h"}},
    {"plane", {"core/sky/plane.h"}},
    {"glass", {"core/sky/glass.h"}},
    {"air", {"core/sky/air.h"}},
    {"climate", {"core/sky/climate.h"}},
    {"cloud", {"core/sky/cloud.h"}},
    {"snowfall", {"core/sky/snowfall.h"}},
    {"snow-cover", {"core/sky/snow_cover.h"}},
    {"cell", {"core/power/cell.h"}},
    {"battery", {"core/power/battery.h"}},
    {"kibam", {"core/power/kibam.h"}},
    {"peukert", {"core/power/sizing.h"}},
    {"rest-voltage", {"core/power/sizing.h"}},
    {"battery-size", {"core/power/sizing.h"}},
    {"wire", {"core/power/wire.h"}},
    {"inverter", {"core/power/inverter.h"}},
    {"charger", {"core/power/charger.h"}},
    {"controller", {"core/power/controller.h"}},
    {"generator", {"core/power/generator.h"}},
    {"noise", {"core/power/generator.h"}},
    {"fridge", {"core/heat/fridge.h"}},
    {"water-heater", {"core/heat/water_heater.h"}},
    {"freeze", {"core/heat/freeze.h"}},
    {"wind-chill", {"core/heat/comfort.h"}},
    {"heat-index", {"core/heat/comfort.h"}},
    {"ice", {"core/heat/food.h"}},
    {"food-clock", {"core/heat/food.h"}},
    {"cabin", {"core/heat/cabin.h"}},
    {"heat-need", {"core/heat/furnace.h"}},
    {"propane", {"core/heat/propane.h"}},
    {"propane-limit", {"core/heat/propane.h"}},
    {"cylinder", {"core/heat/propane.h"}},
    {"burner", {"core/heat/furnace.h"}},
    {"black-tank", {"core/house/toilet.h"}},
    {"water-use", {"core/house/house.h", "core/house/habit.h"}},
    {"rubbish", {"core/house/rubbish.h"}},
    {"dose", {"core/house/disinfect.h"}},
    {"data-use", {"core/house/data_use.h"}},
    {"distance", {"core/land/distance.h"}},
    {"road-guess", {"core/land/drive.h"}},
    {"drive", {"core/land/drive.h"}},
    {"stay-rule", {"core/land/stay_rule.h"}},
    {"diffraction", {"core/land/diffraction.h", "core/land/profile.h"}},
    {"p1812", {"core/land/radio.h", "core/land/profile.h"}},
    {"elevation", {"core/land/terrain.h"}},
    {"link", {"core/land/link.h"}},
    {"signal", {"core/land/belief.h"}},
    {"horizon", {"core/land/skyline.h", "core/land/terrain.h"}},
};

static void give_up(const char *what, const char *name)
{
    fprintf(stderr, "%s: %s\n", name, what);
    exit(1);
}

static FILE *open_or_give_up(const char *folder, const char *name, const char *mode)
{
    char path[512];
    snprintf(path, sizeof path, "%s/%s", folder, name);
    FILE *file = fopen(path, mode);
    if (!file)
        give_up("cannot be opened", path);
    return file;
}

static void put_columns(FILE *page, const lw_column *column, size_t count, const char *before)
{
    for (size_t i = 0; i < count; i++) {
        const lw_column *c = &column[i];
        fprintf(page, "| `%s%s` | %s%s", before, c->name, c->what, c->is_optional ? "; may be empty" : "");
        if (c->choices) {
            fprintf(page, "; one of ");
            for (const char *at = c->choices; *at; at++)
                if (*at == '|')
                    fputs(", ", page);
                else
                    putc(*at, page);
        }
        fputs(c->kind == LW_COLUMN_TIME   ? "; `2029-08-12T11:44:04Z`"
              : c->kind == LW_COLUMN_DATE ? "; `2029-08-12`"
              : c->kind == LW_COLUMN_PROFILE
                  ? "; `NAME` is `profiles/NAME.csv` beside the table, its columns d_km, h_m "
                    "and, if it has them, clutter_m and zone (1 sea, 3 coast, 4 inland)"
                  : "",
              page);
        fprintf(page, " |\n");
    }
}

/* The comment that a header opens with, without its signs. */
static void put_header(FILE *page, const char *path)
{
    char line[512];
    FILE *header = open_or_give_up(".", path, "r");
    fprintf(page, "From [%s](../../%s):\n\n```text\n", path, path);
    int is_over = 0;
    while (!is_over && fgets(line, sizeof line, header)) {
        char *text = line, *end = strstr(line, "*/");
        is_over = end != NULL;
        if (end)
            *end = '\0';
        text += strspn(text, " ");
        text += strncmp(text, "/*", 2) == 0 ? 2 : strncmp(text, "*", 1) == 0 ? 1 : 0;
        text += *text == ' ';
        size_t n = strlen(text);
        while (n && (text[n - 1] == '\n' || text[n - 1] == ' '))
            n--;
        fprintf(page, "%.*s\n", (int)n, text);
    }
    fprintf(page, "```\n");
    fclose(header);
}

static void put_formula(FILE *page, const lw_model *model)
{
    for (size_t i = 0; i < sizeof HEADERS / sizeof HEADERS[0]; i++)
        if (strcmp(HEADERS[i].model, model->name) == 0) {
            for (size_t h = 0; HEADERS[i].header[h]; h++)
                put_header(page, HEADERS[i].header[h]);
            return;
        }
    give_up("has no header in tools/model_pages.c", model->name);
}

static void put_example(FILE *page, const lw_model *model, const char *folder)
{
    char name[128];
    int c;
    static lw_sink sink;
    lw_err err = {0};
    snprintf(name, sizeof name, "examples/%s.csv", model->name);
    FILE *example = open_or_give_up(folder, name, "r");
    fprintf(page, "\n## An example\n\n[%s](%s):\n\n```text\n", name, name);
    while ((c = getc(example)) != EOF)
        putc(c, page);
    fprintf(page, "```\n\n`leeway model %s docs/models/%s` prints\n\n```text\n", model->name, name);
    rewind(example);
    lw_sink_init(&sink, lw_write_file, page);
    char beside[512];
    snprintf(beside, sizeof beside, "%s/examples", folder);
    const lw_model_source source = {.read = lw_read_file, .context = example, .name = name, .folder = beside};
    if (lw_model_run(model, &source, &sink, &err) || lw_sink_flush(&sink, &err)) {
        fprintf(stderr, "%s: %s: %s\n", name, err.where, err.text);
        exit(1);
    }
    fprintf(page, "```\n");
    fclose(example);
}

static void put_page(const lw_model *model, const char *folder)
{
    char name[128];
    snprintf(name, sizeof name, "%s.md", model->name);
    FILE *page = open_or_give_up(folder, name, "w");
    fprintf(page, "# %s\n\nComputes %s. Source: %s.\n\n", model->name, model->what, model->source);
    fprintf(page, "| column | meaning |\n| --- | --- |\n");
    put_columns(page, model->in, model->in_count, "");
    fprintf(page, "\n| result | meaning |\n| --- | --- |\n");
    put_columns(page, model->out, model->out_count, "out_");
    fprintf(page, "\n## Formula, validity, limits\n\n");
    put_formula(page, model);
    put_example(page, model, folder);
    if (fclose(page))
        give_up("could not be written", name);
}

int main(int argc, char **argv)
{
    if (argc != 2)
        give_up("the folder to write to", "one argument");
    FILE *list = open_or_give_up(argv[1], "README.md", "w");
    fprintf(list, "# Models\n\n"
                  "Each can be run by itself over a table: `leeway model NAME FILE.csv`. These pages are written by\n"
                  "`tools/model-pages`, from the program's own tables; the examples are run.\n\n");
    for (size_t i = 0; i < lw_models_count; i++) {
        const lw_model *m = lw_models[i];
        fprintf(list, "- [%s](%s.md): %s\n", m->name, m->name, m->what);
        put_page(m, argv[1]);
    }
    return fclose(list) ? 1 : 0;
}
