/* Field of the 36 sides of a square spiral at 1024 points by the closed
 * Biot-Savart form, as one writes it in C: one segment after the other. Prints
 * segments per second (best of several passes) and the sum of Bx + By + Bz, which
 * must equal the Go side's.
 * Build: gcc -O3 -march=native segments.c -lm     (add -ffast-math to let the
 * compiler reorder sums and work on several segments at once)
 */
#include <math.h>
#include <stdio.h>
#include <time.h>

#define MU0 1.25663706127e-6
#define POINTS 1024
#define SEGMENTS 36

static double px[SEGMENTS + 1], py[SEGMENTS + 1], pz[SEGMENTS + 1];

static double now(void) {
	struct timespec t;
	clock_gettime(CLOCK_MONOTONIC, &t);
	return t.tv_sec + 1e-9 * t.tv_nsec;
}

int main(void) {
	double sum = 0, best = 1e99;
	for (int i = 0; i <= SEGMENTS; i++) {
		double half = (5 - 0.1 * i) * 1e-3;
		int q = i % 4;
		px[i] = (q == 0 || q == 3) ? half : -half;
		py[i] = (q == 0 || q == 1) ? half : -half;
		pz[i] = 0;
	}
	for (int pass = 0; pass < 200; pass++) {
		double start = now();
		sum = 0;
		for (int i = 0; i < POINTS; i++) {
			double x = 12e-3 * (i + 0.5) / POINTS, y = 1e-3, z = 2e-3, bx = 0, by = 0, bz = 0;
			for (int s = 0; s < SEGMENTS; s++) {
				double ax = x - px[s], ay = y - py[s], az = z - pz[s];
				double cx = x - px[s + 1], cy = y - py[s + 1], cz = z - pz[s + 1];
				double ra = sqrt(ax * ax + ay * ay + az * az), rc = sqrt(cx * cx + cy * cy + cz * cz);
				double f = (ra + rc) / (ra * rc * (ra * rc + ax * cx + ay * cy + az * cz));
				bx += f * (ay * cz - az * cy);
				by += f * (az * cx - ax * cz);
				bz += f * (ax * cy - ay * cx);
			}
			sum += MU0 / (4 * M_PI) * (bx + by + bz);
		}
		double t = now() - start;
		if (t < best) best = t;
	}
	printf("%.6g %.15g\n", (double)POINTS * SEGMENTS / best, sum);
	return 0;
}
