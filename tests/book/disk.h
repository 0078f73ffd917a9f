/* tests/book/disk.h: a disk that can be watched and made to fail: a layer over SQLite's own access to files (sqlite3_vfs).
 *
 * Records   each write, truncation, sync and removal in order, and marks that the test puts between them.
 * Fails     the n-th write, or every one from then on, with a code of SQLite's; or takes no writes at all.
 * Cut       disk_cut: what a disk may hold after a power cut at one place of the record: all that was synced, and of each
 *           later write none, all, or some of its sectors of 512 bytes. */
#ifndef LW_TESTS_BOOK_DISK_H
#define LW_TESTS_BOOK_DISK_H

#include <sqlite3.h>
#include <stdint.h>
#include <stdlib.h>
#include <string.h>

#include "tests/book/shelf.h"

enum { DISK_FILES = 8, DISK_EVENTS = 40000, SECTOR = 512 };

typedef enum disk_kind { DISK_WRITE = 0, DISK_TRUNCATE, DISK_SYNC, DISK_REMOVE, DISK_MARK } disk_kind;

typedef struct disk_event {
    disk_kind kind;
    int file;
    int64_t at;
    size_t n; /* of a write: bytes; of a mark: its number */
    unsigned char *bytes;
} disk_event;

static struct {
    int is_recording, is_read_only, fail_code, fails_on;
    long fail_at, writes; /* fail_at 0: never */
    char name[DISK_FILES][160];
    int files;
    disk_event event[DISK_EVENTS];
    int events;
    sqlite3_vfs vfs, *below;
} disk;

typedef struct disk_file {
    sqlite3_file base;
    int file;
    sqlite3_file *real;
} disk_file;

static int disk_file_of(const char *name)
{
    for (int i = 0; i < disk.files; i++)
        if (strcmp(disk.name[i], name) == 0)
            return i;
    assert_true(disk.files < DISK_FILES);
    snprintf(disk.name[disk.files], sizeof disk.name[0], "%s", name);
    return disk.files++;
}

static inline void disk_note(disk_kind kind, int file, int64_t at, size_t n, const void *bytes)
{
    if (!disk.is_recording)
        return;
    assert_true(disk.events < DISK_EVENTS);
    disk_event *e = &disk.event[disk.events++];
    *e = (disk_event){.kind = kind, .file = file, .at = at, .n = n};
    if (bytes) {
        e->bytes = malloc(n);
        assert_non_null(e->bytes);
        memcpy(e->bytes, bytes, n);
    }
}

static inline void disk_mark(size_t number)
{
    disk_note(DISK_MARK, 0, 0, number, NULL);
}

static int disk_fails(void)
{
    if (disk.fail_at == 0)
        return 0;
    disk.writes++;
    return disk.fails_on ? disk.writes >= disk.fail_at : disk.writes == disk.fail_at;
}

#define REAL(f) (((disk_file *)(f))->real)

static int disk_close(sqlite3_file *f)
{
    const int rc = REAL(f)->pMethods ? REAL(f)->pMethods->xClose(REAL(f)) : SQLITE_OK;
    return rc;
}

static int disk_read(sqlite3_file *f, void *to, int n, sqlite3_int64 at)
{
    return REAL(f)->pMethods->xRead(REAL(f), to, n, at);
}

static int disk_write(sqlite3_file *f, const void *from, int n, sqlite3_int64 at)
{
    if (disk_fails())
        return disk.fail_code;
    disk_note(DISK_WRITE, ((disk_file *)f)->file, at, (size_t)n, from);
    return REAL(f)->pMethods->xWrite(REAL(f), from, n, at);
}

static int disk_truncate(sqlite3_file *f, sqlite3_int64 size)
{
    disk_note(DISK_TRUNCATE, ((disk_file *)f)->file, size, 0, NULL);
    return REAL(f)->pMethods->xTruncate(REAL(f), size);
}

static int disk_sync(sqlite3_file *f, int flags)
{
    disk_note(DISK_SYNC, ((disk_file *)f)->file, 0, 0, NULL);
    (void)flags;
    return SQLITE_OK; /* the record says what was synced; the machine's own disk need not be waited for */
}

static int disk_size(sqlite3_file *f, sqlite3_int64 *size)
{
    return REAL(f)->pMethods->xFileSize(REAL(f), size);
}

static int disk_lock(sqlite3_file *f, int level)
{
    return REAL(f)->pMethods->xLock(REAL(f), level);
}

static int disk_unlock(sqlite3_file *f, int level)
{
    return REAL(f)->pMethods->xUnlock(REAL(f), level);
}

static int disk_reserved(sqlite3_file *f, int *is)
{
    return REAL(f)->pMethods->xCheckReservedLock(REAL(f), is);
}

static int disk_control(sqlite3_file *f, int op, void *arg)
{
    return REAL(f)->pMethods->xFileControl(REAL(f), op, arg);
}

/* No promise of the real disk's is passed on, so that SQLite relies on none. */
static int disk_sector(sqlite3_file *f)
{
    (void)f;
    return SECTOR;
}

static int disk_traits(sqlite3_file *f)
{
    (void)f;
    return 0;
}

static int disk_shm_map(sqlite3_file *f, int page, int size, int may_extend, void volatile **to)
{
    if (disk.is_read_only)
        return SQLITE_CANTOPEN;
    if (may_extend && disk_fails())
        return disk.fail_code;
    return REAL(f)->pMethods->xShmMap(REAL(f), page, size, may_extend, to);
}

static int disk_shm_lock(sqlite3_file *f, int from, int n, int flags)
{
    return REAL(f)->pMethods->xShmLock(REAL(f), from, n, flags);
}

static void disk_shm_barrier(sqlite3_file *f)
{
    REAL(f)->pMethods->xShmBarrier(REAL(f));
}

static int disk_shm_unmap(sqlite3_file *f, int is_last)
{
    return REAL(f)->pMethods->xShmUnmap(REAL(f), is_last);
}

static const sqlite3_io_methods DISK_METHODS = {
    .iVersion = 2,
    .xClose = disk_close,
    .xRead = disk_read,
    .xWrite = disk_write,
    .xTruncate = disk_truncate,
    .xSync = disk_sync,
    .xFileSize = disk_size,
    .xLock = disk_lock,
    .xUnlock = disk_unlock,
    .xCheckReservedLock = disk_reserved,
    .xFileControl = disk_control,
    .xSectorSize = disk_sector,
    .xDeviceCharacteristics = disk_traits,
    .xShmMap = disk_shm_map,
    .xShmLock = disk_shm_lock,
    .xShmBarrier = disk_shm_barrier,
    .xShmUnmap = disk_shm_unmap,
};

static int disk_open_file(sqlite3_vfs *vfs, const char *name, sqlite3_file *f, int flags, int *out)
{
    (void)vfs;
    disk_file *file = (disk_file *)f;
    file->base.pMethods = NULL;
    file->real = (sqlite3_file *)(file + 1);
    if (disk.is_read_only && name) {
        if (!(flags & SQLITE_OPEN_MAIN_DB))
            return SQLITE_CANTOPEN;
        flags = (flags & ~(SQLITE_OPEN_READWRITE | SQLITE_OPEN_CREATE)) | SQLITE_OPEN_READONLY;
    }
    const int rc = disk.below->xOpen(disk.below, name, file->real, flags, out);
    file->file = name && !rc ? disk_file_of(name) : 0;
    if (file->real->pMethods)
        file->base.pMethods = &DISK_METHODS;
    return rc;
}

static int disk_remove(sqlite3_vfs *vfs, const char *name, int is_synced)
{
    (void)vfs;
    disk_note(DISK_REMOVE, disk_file_of(name), is_synced != 0, 0, NULL);
    return disk.below->xDelete(disk.below, name, is_synced);
}

static inline void disk_install(void)
{
    if (!disk.below) {
        disk.below = sqlite3_vfs_find(NULL);
        disk.vfs = *disk.below;
        disk.vfs.zName = "watched";
        disk.vfs.pNext = NULL;
        disk.vfs.szOsFile = (int)sizeof(disk_file) + disk.below->szOsFile;
        disk.vfs.xOpen = disk_open_file;
        disk.vfs.xDelete = disk_remove;
    }
    assert_int_equal(sqlite3_vfs_register(&disk.vfs, 1), SQLITE_OK);
}

/* Back to SQLite's own. */
static inline void disk_leave(void)
{
    for (int i = 0; i < disk.events; i++)
        free(disk.event[i].bytes);
    disk.events = disk.files = 0;
    disk.is_recording = disk.is_read_only = 0;
    disk.fail_at = disk.writes = 0;
    assert_int_equal(sqlite3_vfs_unregister(&disk.vfs), SQLITE_OK);
}

/* ---- after a power cut ---- */

typedef struct disk_image {
    unsigned char *bytes;
    size_t n, room;
    int is_there;
} disk_image;

static inline uint32_t disk_chance(uint32_t *state) /* xorshift, for a spread of cases only */
{
    *state ^= *state << 13;
    *state ^= *state >> 17;
    *state ^= *state << 5;
    return *state;
}

static inline void image_put(disk_image *image, int64_t at, const unsigned char *bytes, size_t n)
{
    const size_t end = (size_t)at + n;
    if (end > image->room) {
        image->room = end * 2;
        image->bytes = realloc(image->bytes, image->room);
        assert_non_null(image->bytes);
    }
    if (end > image->n) {
        memset(image->bytes + image->n, 0, end - image->n);
        image->n = end;
    }
    memcpy(image->bytes + at, bytes, n);
    image->is_there = 1;
}

static inline void image_apply(disk_image *image, const disk_event *e)
{
    if (e->kind == DISK_WRITE)
        image_put(image, e->at, e->bytes, e->n);
    else if (e->kind == DISK_TRUNCATE && (size_t)e->at < image->n)
        image->n = (size_t)e->at;
    else if (e->kind == DISK_REMOVE)
        image->n = 0, image->is_there = 0;
}

/* A part of what was not synced: each event whole, not at all, or a write by some of its sectors. */
static inline void image_tear(disk_image *image, const disk_event *e, uint32_t *state)
{
    const uint32_t chance = disk_chance(state) % 3;
    if (chance == 0)
        return;
    if (chance == 1 || e->kind != DISK_WRITE) {
        image_apply(image, e);
        return;
    }
    for (size_t from = 0; from < e->n; from += SECTOR) {
        const size_t n = e->n - from < SECTOR ? e->n - from : SECTOR;
        if (disk_chance(state) & 1)
            image_put(image, e->at + (int64_t)from, e->bytes + from, n);
    }
}

/* What of file `file` is left when the power goes before event `cut`; how 0 drops all that was not synced. */
static inline void image_of(disk_image *image, int file, int cut, int how, uint32_t *state)
{
    int synced = 0;
    for (int i = 0; i < cut; i++)
        if (disk.event[i].file == file && disk.event[i].kind != DISK_MARK &&
            (disk.event[i].kind == DISK_SYNC || (disk.event[i].kind == DISK_REMOVE && disk.event[i].at)))
            synced = i + 1;
    for (int i = 0; i < cut; i++) {
        if (disk.event[i].file != file || disk.event[i].kind == DISK_MARK)
            continue;
        if (i < synced)
            image_apply(image, &disk.event[i]);
        else if (how > 0)
            image_tear(image, &disk.event[i], state);
    }
}

/* Writes the files as they are after the cut. */
static inline void disk_cut(int cut, int how, uint32_t seed)
{
    uint32_t state = seed * 2654435761u + (uint32_t)cut * 40503u + (uint32_t)how + 1;
    for (int file = 0; file < disk.files; file++) {
        disk_image image = {0};
        image_of(&image, file, cut, how, &state);
        unlink(disk.name[file]);
        if (image.is_there) {
            FILE *out = fopen(disk.name[file], "wb");
            assert_non_null(out);
            assert_int_equal(image.n ? fwrite(image.bytes, 1, image.n, out) : 0, image.n);
            assert_int_equal(fclose(out), 0);
        }
        free(image.bytes);
    }
}

#endif
