/* What was learned of a stay: kept, replaced, of one stay at a time, and no part of an exported book. */
#include "book/learned.h"
#include "book/rows.h"
#include "tests/book/shelf.h"

static lw_kept_learned one(int64_t stay, unsigned char first, size_t count)
{
    lw_kept_learned l = {.stay = stay, .key = UINT64_MAX - first, .moment_s = SHELF_NOW_S, .count = count};
    l.bytes = calloc(count + 1, 1);
    assert_non_null(l.bytes);
    l.bytes[0] = first;
    return l;
}

static void check_kept(lw_book *book, int64_t stay, const lw_kept_learned *want)
{
    lw_kept_learned found = {0};
    int is_there = 0;
    CHECK_OK(lw_book_learned(book, stay, &found, &is_there, &err));
    assert_int_equal(is_there, want != NULL);
    if (want) {
        assert_true(found.key == want->key);
        assert_int_equal(found.stay, stay);
        assert_int_equal(found.moment_s, want->moment_s);
        assert_int_equal(found.count, want->count);
        assert_memory_equal(found.bytes, want->bytes, want->count);
    }
    lw_kept_learned_clear(&found);
}

static void the_last_one_kept_is_found(void **state)
{
    (void)state;
    const shelf s = shelf_open();
    lw_book *book = NULL;
    lw_book_info info;
    CHECK_OK(lw_book_open(&book, s.path, LW_BOOK_CREATE, &err));
    const int64_t stay = shelf_stay(book);
    lw_kept_learned a = one(stay, 1, 200000), b = one(stay, 2, 7), c = one(stay + 1, 3, 5);
    check_kept(book, stay, NULL);
    CHECK_OK(lw_book_keep_learned(book, &a, &err));
    check_kept(book, stay, &a);
    CHECK_OK(lw_book_keep_learned(book, &b, &err));
    check_kept(book, stay, &b);
    /* Of a stay that is none it is refused, and what was there stays. */
    CHECK_REFUSED(lw_book_keep_learned(book, &c, &err), LW_E_CONFLICT, "");
    check_kept(book, stay, &b);
    CHECK_OK(lw_book_info_of(book, &info, &err));
    assert_int_equal(info.learned, 1);
    CHECK_OK(lw_book_check(book, &err));
    b.count = (size_t)LW_LEARNED_BYTES + 1; /* never read that far */
    CHECK_REFUSED(lw_book_keep_learned(book, &b, &err), LW_E_FULL, "too much");
    lw_kept_learned_clear(&a), lw_kept_learned_clear(&b), lw_kept_learned_clear(&c);
    lw_book_close(book);
    shelf_close(&s);
}

static lw_code count_learned(void *context, const char *table, const lw_cell *cell, size_t count, lw_err *err)
{
    (void)cell, (void)count, (void)err;
    *(int *)context += strcmp(table, "learned") == 0;
    return LW_OK;
}

static void an_export_leaves_it_out(void **state)
{
    (void)state;
    const shelf s = shelf_open();
    lw_book *book = NULL;
    lw_cell_kind kind;
    int found = 0;
    CHECK_OK(lw_book_open(&book, s.path, LW_BOOK_CREATE, &err));
    lw_kept_learned a = one(shelf_stay(book), 1, 100);
    CHECK_OK(lw_book_keep_learned(book, &a, &err));
    CHECK_OK(lw_book_each_row(book, count_learned, &found, &err));
    assert_int_equal(found, 0);
    CHECK_REFUSED(lw_book_column(book, "learned", "draws", &kind, &err), LW_E_SYNTAX, "learned");
    lw_kept_learned_clear(&a);
    lw_book_close(book);
    shelf_close(&s);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(the_last_one_kept_is_found),
        cmocka_unit_test(an_export_leaves_it_out),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
