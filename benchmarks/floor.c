/* The loop over the steps of many runs, one set after the other, around tape() and between(): see floor.py. */
#include <stdint.h>
#include <string.h>

void run(int64_t sets, const double *all, double *y, double *first, int64_t *taken, const double *moments,
         int64_t count, double *out, int64_t far) {
    double kept[KEPT], here[SIZE], moved[SIZE], low[SIZE], middle[SIZE], high[SIZE], clock[4];
    const double end = moments[count - 1];
    for (int64_t set = 0; set < sets; set++) {
        double at = 0, h = first[set], growth = GROWTH;
        int64_t written = 0, steps = 0;
        for (int k = 0; k < KEPT; k++) kept[k] = all[k * sets + set];
        for (int k = 0; k < SIZE; k++) here[k] = y[k * sets + set];
        while (at < end && h > SHORTEST && steps < MOST_STEPS) {
            const int closes = CLOSE * h >= end - at;
            if (closes) h = end - at;
            tape(kept, &at, &h, &growth, here, moved, clock, low, middle, high);
            steps++;
            const double then = clock[0] > 0 && closes ? end : clock[1];
            for (; written < count && moments[written] <= then; written++) {
                const double share = (moments[written] - at) / h;
                between(&share, here, moved, low, middle, high, out + set * far + written * SIZE);
            }
            at = then, h = clock[2], growth = clock[3];
            memcpy(here, moved, sizeof here);
        }
        taken[set] += steps;
        first[set] = h;
        for (int k = 0; k < SIZE; k++) y[k * sets + set] = here[k];
    }
}
