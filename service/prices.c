#include "service/prices.h"

#include <math.h>
#include <stdio.h>
#include <string.h>

#include "exchange/usual_price.h"
#include "text/decimal.h"
#include "text/quantity.h"
#include "text/say.h"

lw_code lw_price(const char *id, double *usd, lw_err *err)
{
    lw_usual_price price;
    const lw_code code = lw_usual_price_of(id, &price, err);
    if (!code)
        *usd = price.usd;
    return code;
}

/* "3.79 USD/gal"; "10 USD/h". */
static void write_value(double usd, const char *per, lw_unit_system units, char *buf, size_t n)
{
    static const struct {
        const char *per;
        lw_dim dim;
        double si; /* of one */
    } DIMS[] = {{"L", LW_DIM_PRICE_PER_VOLUME, 1.0},
                {"kg", LW_DIM_PRICE_PER_MASS, 1.0},
                {"km", LW_DIM_PRICE_PER_LENGTH, 0.001}};
    for (size_t i = 0; i < sizeof DIMS / sizeof DIMS[0]; i++)
        if (strcmp(per, DIMS[i].per) == 0) {
            (void)lw_quantity_print(buf, n, usd * DIMS[i].si, DIMS[i].dim, units);
            return;
        }
    snprintf(buf, n, strcmp(per, "1") == 0 ? "%.30s USD" : "%.30s USD/%.16s", lw_num(usd).text, per);
}

const lw_assumption *lw_price_row(const lw_price_list *list, const char *id)
{
    for (int i = 0; i < list->count; i++)
        if (strcmp(list->id[i], id) == 0)
            return &list->of[i];
    return NULL;
}

lw_code lw_price_take(const char *id, double *usd, const char *said_by, lw_price_list *list, lw_err *err)
{
    const int is_said = !isnan(*usd);
    lw_usual_price price;
    const lw_code code = lw_usual_price_of(id, &price, err);
    if (code)
        return code;
    *usd = is_said ? *usd : price.usd;
    if (list->count == LW_PRICES || lw_price_row(list, id))
        return LW_OK;
    lw_assumption *to = &list->of[list->count];
    snprintf(list->id[list->count++], sizeof list->id[0], "%.31s", id);
    *to = (lw_assumption){.order = 0};
    snprintf(to->key, sizeof to->key, "%s", price.what);
    write_value(*usd, price.per, list->units, to->value, sizeof to->value);
    snprintf(to->source, sizeof to->source, "%s", is_said ? said_by : price.source);
    snprintf(to->kind, sizeof to->kind, "%s", is_said ? "yours" : price.kind);
    return LW_OK;
}
