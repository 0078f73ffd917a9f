/* book/devices.h: phones and other devices that may speak with the server over the household's network, and the first answers
 * that devices were given.
 *
 * Devices   a row each, with the hash of the secret it shows at every request; the secret itself is nowhere in the book.
 *           Revoking takes the row away. When it was last heard of is kept to the day.
 * Answers   lw_book_answer_of: what was answered to a message with this id; lw_book_keep_answer beside the change it tells
 *           of, in one transaction: so a message that comes again, after a power cut too, gets the first answer.
 * Changes   lw_book_changes: a number that grows with each change of what the book knows of the household (settings, rigs,
 *           crews, places, stays, entries, and imported maps), whoever makes it; kept weather, forecasts, devices and answers do not count.
 * Export    none of these goes into an exported book.
 * Errors    as book/book.h. */
#ifndef LW_BOOK_DEVICES_H
#define LW_BOOK_DEVICES_H

#include <stddef.h>
#include <stdint.h>

#include "book/book.h"
#include "book/id.h"
#include "core/base/err.h"

enum { LW_TOKEN_HASH = 32, LW_DEVICE_NAME = 64 };

typedef struct lw_device {
    int64_t id;
    char name[LW_DEVICE_NAME]; /* cut where longer */
    int64_t paired_s, seen_s;  /* seen: LW_NO_TIME: never since */
} lw_device;

typedef struct lw_devices {
    lw_device *device;
    size_t count;
} lw_devices;

LW_MUST_USE lw_code lw_book_add_device(lw_book *book, const char *name, const unsigned char hash[LW_TOKEN_HASH],
                                       int64_t now_s, int64_t *id, lw_err *err);
/* *is_there 0: no device has this secret; *device is untouched. */
LW_MUST_USE lw_code lw_book_find_device(lw_book *book, const unsigned char hash[LW_TOKEN_HASH], int64_t now_s,
                                        lw_device *device, int *is_there, lw_err *err);
/* In the order they were paired; lw_devices_clear frees. */
LW_MUST_USE lw_code lw_book_list_devices(lw_book *book, lw_devices *devices, lw_err *err);
void lw_devices_clear(lw_devices *devices);
LW_MUST_USE lw_code lw_book_revoke_device(lw_book *book, int64_t id, lw_err *err); /* LW_E_MISSING: no such device */

/* *text is the caller's (free); NULL: nothing was answered yet. */
LW_MUST_USE lw_code lw_book_answer_of(lw_book *book, const lw_id *id, char **text, lw_err *err);
LW_MUST_USE lw_code lw_book_keep_answer(lw_book *book, const lw_id *id, int64_t now_s, const char *text, lw_err *err);

/* For what lies outside the counted tables: imported maps, tiles of terrain beside the book. */
LW_MUST_USE lw_code lw_book_count_change(lw_book *book, lw_err *err);
LW_MUST_USE lw_code lw_book_changes(lw_book *book, int64_t *changes, lw_err *err);

/* Takes out every rig, crew, place, stay, entry and what hangs on them, and the setting `key`: for a demo that goes. */
LW_MUST_USE lw_code lw_book_take_all_out(lw_book *book, const char *key, lw_err *err);

#endif
