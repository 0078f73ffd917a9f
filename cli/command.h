/* cli/command.h: what a subcommand of `leeway` is: one row, from which parsing, --help and the man page derive. */
#ifndef LW_CLI_COMMAND_H
#define LW_CLI_COMMAND_H

#include <stddef.h>

#include "core/base/err.h"

enum {
    LW_EXIT_DONE = 0,
    LW_EXIT_SYSTEM = 1, /* the system failed: disk full, no right to write */
    LW_EXIT_INPUT = 2,  /* what was typed or what stands in a file cannot be used */
};

typedef struct lw_option {
    const char *name;     /* long name, without dashes */
    char letter;          /* short name; 0: none */
    const char *argument; /* "FILE"; NULL: takes none */
    int is_argument_optional;
    const char *what;
} lw_option;

typedef struct lw_example {
    const char *command, *what;
} lw_example;

typedef struct lw_command lw_command;
struct lw_command {
    const char *name, *operands; /* a name may be of two words: "weather fetch" */
    const char *what;            /* a line of the list of commands, without a full stop */
    const char *about;           /* paragraphs, parted by an empty line */
    const lw_option *option;
    size_t option_count;
    const lw_example *example;
    size_t example_count;
    int (*run)(const lw_command *self, int argc,
               char **argv); /* argv[0] is the command's last word; gives the exit code */
};

extern const lw_command lw_command_outlook;
extern const lw_command lw_command_today;
extern const lw_command lw_command_plan_levers;
extern const lw_command lw_command_plan_runs;
extern const lw_command lw_command_plan_provisions;
extern const lw_command lw_command_plan_generator;
extern const lw_command lw_command_plan_rhythm;
extern const lw_command lw_command_plan_convoy;
extern const lw_command lw_command_plan_calendar;
extern const lw_command lw_command_plan_buy;
extern const lw_command lw_command_plan_cost;
extern const lw_command lw_command_trip_plan;
extern const lw_command lw_command_trip_show;
extern const lw_command lw_command_trip_replan;
extern const lw_command lw_command_trip_forget;
extern const lw_command lw_command_trip_export;
extern const lw_command lw_command_trip_year;
extern const lw_command lw_command_begin;
extern const lw_command lw_command_end;
extern const lw_command lw_command_log;
extern const lw_command lw_command_history;
extern const lw_command lw_command_learn;
extern const lw_command lw_command_checklist;
extern const lw_command lw_command_clock;
extern const lw_command lw_command_ledger;
extern const lw_command lw_command_signal;
extern const lw_command lw_command_places_near;
extern const lw_command lw_command_places_search;
extern const lw_command lw_command_places_add;
extern const lw_command lw_command_places_edit;
extern const lw_command lw_command_places_show;
extern const lw_command lw_command_places_list;
extern const lw_command lw_command_places_give;
extern const lw_command lw_command_places_take;
extern const lw_command lw_command_sun;
extern const lw_command lw_command_places_rank;
extern const lw_command lw_command_places_compare;
extern const lw_command lw_command_places_forget;
extern const lw_command lw_command_drive;
extern const lw_command lw_command_places_at;
extern const lw_command lw_command_import;
extern const lw_command lw_command_serve;
extern const lw_command lw_command_weather_show;
extern const lw_command lw_command_weather_fetch;
extern const lw_command lw_command_batch;
extern const lw_command lw_command_model;
extern const lw_command lw_command_book_info;
extern const lw_command lw_command_book_check;
extern const lw_command lw_command_book_backup;
extern const lw_command lw_command_book_restore;
extern const lw_command lw_command_book_export;
extern const lw_command lw_command_book_import;

/* The run of lw_command_weather_fetch. */
int lw_cli_weather_fetch(const lw_command *self, int argc, char **argv);

/* NULL-ended, in the order shown to people. */
extern const lw_command *const lw_commands[];

/* "leeway: place: sentence" on standard error; gives the exit code that fits. */
int lw_refuse(const lw_err *err);

#endif
