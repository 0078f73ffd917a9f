/* The plain page: outlook, today and a form for readings, without a script, for old phones and for a program that was built
 * without the page. */
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "book/household.h"
#include "service/ask_internal.h"
#include "service/chart_svg.h"
#include "service/demo.h"
#include "service/household.h"
#include "service/learning.h"
#include "service/log_internal.h"
#include "service/logbook.h"
#include "service/today.h"
#include "text/say.h"

static const char HTML_TYPE[] = "text/html; charset=utf-8";

void lw_asked_put_html(FILE *to, const char *text)
{
    for (; *text; text++)
        switch (*text) {
        case '<':
            fputs("&lt;", to);
            break;
        case '>':
            fputs("&gt;", to);
            break;
        case '&':
            fputs("&amp;", to);
            break;
        case '"':
            fputs("&quot;", to);
            break;
        default:
            fputc(*text, to);
        }
}

static void put_in(FILE *to, const char *element, const char *text)
{
    if (!text[0])
        return;
    fprintf(to, "<%s>", element);
    lw_asked_put_html(to, text);
    fprintf(to, "</%s>\n", element);
}

static void put_head(FILE *to)
{
    fputs("<!doctype html>\n<html lang=\"en\"><head><meta charset=\"utf-8\">"
          "<meta name=\"viewport\" content=\"width=device-width, initial-scale=1\"><title>Leeway</title>"
          "<link rel=\"stylesheet\" href=\"/plain.css\"></head><body>\n",
          to);
}

/* The body as a reply of its own; one that cannot be made is the JSON of a refusal. */
static void finish(FILE *to, char **text, const size_t *size, int status, lw_reply *reply)
{
    if (to && fclose(to) == 0) {
        free(reply->body);
        reply->status = status;
        reply->type = HTML_TYPE;
        reply->body = *text;
        reply->size = *size;
        return;
    }
    free(*text);
    lw_reply_refuse(reply, 503, "not enough memory for this answer; try again");
}

int lw_ask_is_plain(const char *target)
{
    const size_t n = strcspn(target, "?");
    return (n == 6 && strncmp(target, "/plain", n) == 0) || (n > 7 && strncmp(target, "/plain/", 7) == 0);
}

void lw_plain_refuse(lw_reply *reply, int status, const char *says)
{
    char *text = NULL;
    size_t size = 0;
    FILE *to = open_memstream(&text, &size);
    if (to) {
        put_head(to);
        put_in(to, "h1", "That did not work");
        put_in(to, "p", says);
        fputs("<p><a href=\"/plain\">Back</a></p></body></html>\n", to);
    }
    finish(to, &text, &size, status, reply);
}

void lw_plain_pairing(lw_reply *reply, int status, const char *says)
{
    char *text = NULL;
    size_t size = 0;
    FILE *to = open_memstream(&text, &size);
    if (to) {
        put_head(to);
        put_in(to, "h1", status == 200 ? "This device is known now" : "Is this one of yours?");
        if (says)
            put_in(to, "p", says);
        if (status == 200)
            fputs("<p><a href=\"/plain\">To the outlook</a></p>\n", to);
        else
            fputs("<p>The camper's computer shows six digits. Type them here once; then this device is known.</p>\n"
                  "<form method=\"post\" action=\"/plain/pair\"><p><label>Six digits<br><input name=\"code\" "
                  "inputmode=\"numeric\" maxlength=\"7\" autocomplete=\"off\"></label></p>\n"
                  "<p><label>Name of this device<br><input name=\"device\" value=\"phone\" maxlength=\"40\" "
                  "autocomplete=\"off\"></label></p>\n<p><button>Pair</button></p></form>\n",
                  to);
        fputs("</body></html>\n", to);
    }
    finish(to, &text, &size, status, reply);
}

static void put_todos(FILE *to, const lw_today *today)
{
    put_in(to, "h2", today->headline);
    fputs("<ol>\n", to);
    for (int i = 0; i < today->due && i < today->count; i++) {
        fputs("<li>", to);
        put_in(to, "strong", today->item[i].what);
        put_in(to, "p", today->item[i].why);
        put_in(to, "p", today->item[i].otherwise);
        put_in(to, "p", today->item[i].caution);
        fputs("</li>\n", to);
    }
    fputs("</ol>\n", to);
}

static void put_form(FILE *to, const lw_loaded *rig)
{
    char shows[LW_LOG_SAID], id[LW_ID_TEXT] = "";
    lw_id made;
    lw_err unread = {0};
    if (!lw_id_make(&made, &unread))
        (void)lw_id_print(id, sizeof id, &made);
    fprintf(
        to,
        "<h2>Readings</h2>\n<form method=\"post\" action=\"/plain\"><input type=\"hidden\" name=\"id\" value=\"%s\">\n",
        id);
    for (int v = 0; v < rig->scenario->rig.vessel_count; v++) {
        const char *name = rig->scenario->rig.vessel[v].name;
        fputs("<p><label>", to);
        lw_asked_put_html(to, name);
        fputs("<br><small>", to);
        lw_asked_put_html(to, lw_log_gauges_say(rig, v, rig->units, shows, sizeof shows));
        fputs("</small><br><input name=\"", to);
        lw_asked_put_html(to, name);
        fputs("\" autocomplete=\"off\"></label></p>\n", to);
    }
    fputs("<p><label>battery<br><input name=\"battery\" autocomplete=\"off\"></label></p>\n"
          "<p><label>Or what was done, such as dumped grey black<br><input name=\"event\" "
          "autocomplete=\"off\"></label></p>\n"
          "<p><button>Keep</button></p></form>\n",
          to);
}

static lw_code put_camp(lw_asked *a, FILE *to, lw_err *err)
{
    lw_outlook_answer answer = {0};
    lw_words_choice choice = {.units = LW_UNITS_US};
    lw_words *words = calloc(1, sizeof *words);
    lw_today *today = calloc(1, sizeof *today);
    lw_code code = words && today ? lw_asked_choice(a, &choice, err) : lw_fail(err, LW_E_FULL, "not enough memory");
    const lw_learning_request request = {
        .now_s = a->ask->now_s, .wants_series = 1, .draws = {.draws = LW_DRAWS_USUAL, .seed = 1}};
    code = code ? code : lw_learning_run(a->book, &request, &answer, err);
    if (!code && words && today) {
        const lw_today_in in = {.answer = &answer,
                                .choice = choice,
                                .now_s = lw_asked_moment(answer.outlook, a->ask->now_s),
                                .engine_h = answer.learning->engine_h};
        code = lw_words_make(&answer, &choice, words, err);
        code = code ? code : lw_today_make(&in, today, err);
        if (!code) {
            put_in(to, "h1", words->headline);
            put_in(to, "p", words->why);
            fputs("<img src=\"/plain.svg\" alt=\"how long each supply lasts\">\n", to);
            put_todos(to, today);
            put_form(to, &answer.loaded);
            put_in(to, "p",
                   "An estimate, no promise: look at the gauges, and keep to makers' manuals, local rules and "
                   "what licensed people say.");
        }
    }
    if (words)
        lw_words_clear(words);
    free(words);
    free(today);
    lw_outlook_answer_clear(&answer);
    return code;
}

static lw_code reply_html(lw_asked *a, char *text, size_t size, lw_err *err)
{
    const lw_code code = lw_asked_reply(a, text, err);
    if (!code) {
        a->reply->type = HTML_TYPE;
        a->reply->size = size;
    }
    return code;
}

lw_code lw_ask_plain(lw_asked *a, lw_err *err)
{
    char *text = NULL;
    size_t size = 0;
    lw_kept_stays stays = {0};
    lw_code code = lw_book_current_stay(a->book, a->ask->now_s, &stays, err);
    FILE *to = code ? NULL : open_memstream(&text, &size);
    if (!code && !to)
        code = lw_fail(err, LW_E_FULL, "not enough memory");
    if (!code && to) {
        put_head(to);
        if (stays.count > 0)
            code = put_camp(a, to, err);
        else
            fputs(
                "<h1>Leeway</h1><p>The book holds no stay that goes on. Begin one at the machine that Leeway runs on: "
                "<code>leeway begin FILE.yaml</code>, or look at the demo:</p>"
                "<form method=\"post\" action=\"/plain\"><button name=\"demo\" value=\"1\">Show the "
                "demo</button></form>",
                to);
        fputs("</body></html>\n", to);
    }
    lw_kept_stays_clear(&stays);
    if (to && fclose(to) != 0 && !code)
        code = lw_fail(err, LW_E_FULL, "not enough memory");
    if (!code)
        return reply_html(a, text, size, err);
    free(text);
    return code;
}

lw_code lw_ask_plain_css(lw_asked *a, lw_err *err)
{
    static const char CSS[] =
        "body{font:1.1rem/1.5 sans-serif;max-width:44rem;margin:1rem auto;padding:0 1rem}"
        "img{width:100%;height:auto}input{font:inherit;width:100%;box-sizing:border-box;padding:.4rem}"
        "button{font:inherit;padding:.6rem 1.2rem}"
        "@media(prefers-color-scheme:dark){body{background:#111;color:#eee}}";
    const lw_code code = lw_asked_reply(a, strdup(CSS), err);
    if (!code)
        a->reply->type = "text/css; charset=utf-8";
    return code;
}

static lw_written write_stream(void *to, const char *bytes, size_t n)
{
    return lw_write_file(to, bytes, n);
}

static lw_code draw(const lw_outlook_answer *answer, const lw_words_choice *choice, FILE *to, lw_err *err)
{
    lw_words *words = calloc(1, sizeof *words);
    lw_chart *chart = malloc(sizeof *chart);
    lw_sink *sink = malloc(sizeof *sink);
    lw_code code = words && chart && sink ? lw_words_make(answer, choice, words, err)
                                          : lw_fail(err, LW_E_FULL, "no memory for a chart");
    if (!code && words && chart && sink) {
        lw_sink_init(sink, write_stream, to);
        lw_chart_make(answer, words, choice, 0, chart);
        lw_chart_svg(chart, &(lw_svg_options){0}, sink);
        code = lw_sink_flush(sink, err);
    }
    if (words)
        lw_words_clear(words);
    free(words);
    free(chart);
    free(sink);
    return code;
}

lw_code lw_ask_plain_svg(lw_asked *a, lw_err *err)
{
    lw_outlook_answer answer = {0};
    lw_words_choice choice = {.units = LW_UNITS_US};
    char *text = NULL;
    size_t size = 0;
    FILE *to = open_memstream(&text, &size);
    lw_code code = to ? lw_asked_choice(a, &choice, err) : lw_fail(err, LW_E_FULL, "not enough memory");
    const lw_learning_request request = {.now_s = a->ask->now_s, .draws = {.draws = LW_DRAWS_USUAL, .seed = 1}};
    code = code ? code : lw_learning_run(a->book, &request, &answer, err);
    if (!code && to)
        code = draw(&answer, &choice, to, err);
    lw_outlook_answer_clear(&answer);
    if (to && fclose(to) != 0 && !code)
        code = lw_fail(err, LW_E_FULL, "not enough memory");
    if (code) {
        free(text);
        return code;
    }
    code = lw_asked_reply(a, text, err);
    a->reply->type = "image/svg+xml";
    return code;
}

/* ---- what the form sent ---- */

/* Fields that were filled in, as words of a line; an event is parted at its blanks. */
static int words_of(const lw_asked *a, const char **word, char *room, size_t n)
{
    int count = 0;
    size_t used = 0;
    for (int i = 0; i < a->param_count && count < LW_ASK_PARAMS; i++) {
        const char *key = a->key[i], *value = a->value[i];
        if (!*value || strcmp(key, "id") == 0 || strcmp(key, "event") == 0 ||
            used + strlen(key) + strlen(value) + 2 > n)
            continue;
        word[count++] = room + used;
        used += (size_t)snprintf(room + used, n - used, "%s=%s", key, value) + 1;
    }
    const char *event = count == 0 ? lw_asked_param(a, "event") : NULL;
    while (event && *(event += strspn(event, " ")) && count < LW_ASK_PARAMS) {
        const size_t letters = strcspn(event, " ");
        if (used + letters + 1 > n)
            break;
        word[count++] = room + used;
        used += (size_t)snprintf(room + used, n - used, "%.*s", (int)letters, event) + 1;
        event += letters;
    }
    return count;
}

static lw_code reply_said(lw_asked *a, const lw_log_answer *said, lw_err *err)
{
    char *text = NULL;
    size_t size = 0;
    FILE *to = open_memstream(&text, &size);
    if (!to)
        return lw_fail(err, LW_E_FULL, "not enough memory");
    put_head(to);
    put_in(to, "h1", "Kept");
    for (int i = 0; i < said->count; i++)
        put_in(to, "p", said->said[i]);
    fputs("<p><a href=\"/plain\">Back</a></p></body></html>\n", to);
    if (fclose(to) != 0) {
        free(text);
        return lw_fail(err, LW_E_FULL, "not enough memory");
    }
    return reply_html(a, text, size, err);
}

lw_code lw_ask_plain_form(lw_asked *a, lw_err *err)
{
    const char *word[LW_ASK_PARAMS], *typed;
    char room[LW_BOOK_TEXT_BYTES];
    lw_id id = {{0}};
    lw_err unread = {0};
    lw_code code = lw_asked_form(a, err);
    code = code ? code : lw_asked_want_time(a, err);
    if (code)
        return code;
    if (lw_asked_param(a, "demo")) {
        code = lw_demo_begin(a->book, a->ask->now_s, err);
        return code ? code : lw_ask_plain(a, err);
    }
    typed = lw_asked_param(a, "id");
    const int has_id = typed && !lw_id_parse(typed, &id, &unread);
    lw_log_answer *said = calloc(1, sizeof *said);
    if (!said)
        return lw_fail(err, LW_E_FULL, "not enough memory");
    code = lw_logbook_log(a->book,
                          &(lw_log_line){.word = word,
                                         .count = words_of(a, word, room, sizeof room),
                                         .now_s = a->ask->now_s,
                                         .device = lw_asked_device(a, NULL),
                                         .id = has_id ? &id : NULL},
                          said, err);
    code = code ? code : reply_said(a, said, err);
    free(said);
    return code;
}
