/* Runs a fuzz target over files: the seeds in every build, and a found input on its own. */
#include <stdint.h>
#include <stdio.h>
#include <stdlib.h>

int LLVMFuzzerTestOneInput(const uint8_t *bytes, size_t n);

#define LARGEST (1 << 20)

int main(int argc, char **argv)
{
    if (argc < 2) {
        fprintf(stderr, "no seeds to replay\n");
        return 1;
    }
    for (int i = 1; i < argc; i++) {
        FILE *file = fopen(argv[i], "rb");
        uint8_t *bytes = malloc(LARGEST);
        if (!file || !bytes) {
            fprintf(stderr, "%s cannot be read\n", argv[i]);
            return 1;
        }
        const size_t n = fread(bytes, 1, LARGEST, file);
        fclose(file);
        uint8_t *exact = malloc(n ? n : 1); /* its own block, so that reading past the end is seen */
        if (!exact)
            return 1;
        for (size_t k = 0; k < n; k++)
            exact[k] = bytes[k];
        LLVMFuzzerTestOneInput(exact, n);
        free(exact);
        free(bytes);
    }
    return 0;
}
