// Solves a BAL text problem with Ceres (SPARSE_SCHUR) and prints times: the yardstick of bench/SolverRatio.cs.
// usage: bal_ceres FILE THREADS HUBER_DELTA FUNCTION_TOLERANCE MAX_ITERATIONS
// HUBER_DELTA 0: no robust loss. Analytic work is left to Ceres' own automatic differentiation.
#include <ceres/ceres.h>
#include <ceres/rotation.h>
#include <sys/resource.h>

#include <chrono>
#include <cstdio>
#include <cstdlib>
#include <vector>

struct Reprojection {
  Reprojection(double u, double v) : u(u), v(v) {}
  template <typename T>
  bool operator()(const T* camera, const T* point, T* residual) const {
    T p[3];
    ceres::AngleAxisRotatePoint(camera, point, p);
    p[0] += camera[3];
    p[1] += camera[4];
    p[2] += camera[5];
    const T x = -p[0] / p[2];
    const T y = -p[1] / p[2];
    const T r2 = x * x + y * y;
    const T d = 1.0 + r2 * (camera[7] + camera[8] * r2);
    residual[0] = camera[6] * d * x - u;
    residual[1] = camera[6] * d * y - v;
    return true;
  }
  double u, v;
};

// User and system time of all threads so far: other work on the machine disturbs it less than the clock.
static double ProcessorSeconds() {
  rusage used;
  getrusage(RUSAGE_SELF, &used);
  return used.ru_utime.tv_sec + used.ru_stime.tv_sec + 1e-6 * (used.ru_utime.tv_usec + used.ru_stime.tv_usec);
}

int main(int argc, char** argv) {
  if (argc != 6) return 2;
  FILE* file = fopen(argv[1], "r");
  if (!file) return 2;
  int cameras, points, observations;
  if (fscanf(file, "%d %d %d", &cameras, &points, &observations) != 3) return 2;
  std::vector<int> c(observations), p(observations);
  std::vector<double> uv(2 * observations), values(9 * cameras + 3 * points);
  for (int i = 0; i < observations; ++i)
    if (fscanf(file, "%d %d %lf %lf", &c[i], &p[i], &uv[2 * i], &uv[2 * i + 1]) != 4) return 2;
  for (double& v : values)
    if (fscanf(file, "%lf", &v) != 1) return 2;
  fclose(file);

  const auto start = std::chrono::steady_clock::now();
  const double processorStart = ProcessorSeconds();
  ceres::Problem problem;
  const double delta = atof(argv[3]);
  ceres::LossFunction* loss = delta > 0 ? new ceres::HuberLoss(delta) : nullptr;
  auto* ordering = new ceres::ParameterBlockOrdering;
  for (int i = 0; i < observations; ++i)
    problem.AddResidualBlock(
        new ceres::AutoDiffCostFunction<Reprojection, 2, 9, 3>(new Reprojection(uv[2 * i], uv[2 * i + 1])), loss,
        &values[9 * c[i]], &values[9 * cameras + 3 * p[i]]);
  for (int i = 0; i < points; ++i) ordering->AddElementToGroup(&values[9 * cameras + 3 * i], 0);
  for (int i = 0; i < cameras; ++i) ordering->AddElementToGroup(&values[9 * i], 1);
  ceres::Solver::Options options;
  options.linear_solver_type = ceres::SPARSE_SCHUR;
  options.linear_solver_ordering.reset(ordering);
  options.num_threads = atoi(argv[2]);
  options.function_tolerance = atof(argv[4]);
  options.max_num_iterations = atoi(argv[5]);
  ceres::Solver::Summary summary;
  ceres::Solve(options, &problem, &summary);
  const double total = std::chrono::duration<double>(std::chrono::steady_clock::now() - start).count();
  printf("{\"initialCost\":%.17g,\"finalCost\":%.17g,\"iterations\":%d,\"solveSeconds\":%.4f,\"totalSeconds\":%.4f,"
         "\"processorSeconds\":%.4f}\n",
         summary.initial_cost, summary.final_cost, (int)summary.iterations.size() - 1, summary.total_time_in_seconds,
         total, ProcessorSeconds() - processorStart);
  fprintf(stderr, "%s\n", summary.FullReport().c_str());
}
