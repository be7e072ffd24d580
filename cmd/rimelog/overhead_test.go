//go:build unix

package main

import (
	"fmt"
	"testing"
	"time"
)

// BenchmarkShards compares a run that is shared out to one process on many small uploads, in
// processor time: "overhead-%" is what plan, barriers and everything that each shard asks for
// itself take more than one process, "speed-up" is the time of one process over the longest
// way through the stages, with a processor for each of two shards.
func BenchmarkShards(b *testing.B) {
	for _, systems := range []int{50, 500} {
		b.Run(fmt.Sprintf("uploads=%d", 20*systems), func(b *testing.B) {
			for b.Loop() {
				one, shared, longest := 0.0, 0.0, 0.0
				folder := manySmall(b, systems)
				one = runAll(b, folder)
				folder = manySmall(b, systems)
				for _, stage := range []string{"plan", "ingest", "analyse", "fleet", "report"} {
					slowest := 0.0
					for _, spent := range stageShares(b, folder, stage) {
						shared += spent
						slowest = max(slowest, spent)
					}
					longest += slowest
				}
				b.ReportMetric(one, "cpu-s/process")
				b.ReportMetric(shared, "cpu-s/shards")
				b.ReportMetric(100*(shared/one-1), "overhead-%")
				b.ReportMetric(one/longest, "speed-up")
			}
		})
	}
}

// stageShares does a stage in two shards, where it has any, and gives what each took.
func stageShares(b *testing.B, folder, stage string) (spent []float64) {
	shares := [][]string{{stage}}
	switch stage {
	case "plan":
		shares = [][]string{{stage, "-shards", "2"}}
	case "ingest", "analyse", "report":
		shares = [][]string{{stage, "-shard", "0/2"}, {stage, "-shard", "1/2"}}
	}
	for _, args := range shares {
		before := processorTime(b)
		commanded(b, append(args, "-workspace", folder)...)
		spent = append(spent, processorTime(b)-before)
	}
	return spent
}

// manySmall is a workspace of systems with 20 visits of half an hour each over two years.
func manySmall(b *testing.B, systems int) string {
	folder := b.TempDir()
	write(b, folder, manyRegister(systems, func(int) int { return 100 }))
	for i := range systems {
		files := map[string]string{}
		for v := range 20 {
			start := time.Date(2024, time.Month(1+v), 1+i%27, 9, 0, 0, 0, time.UTC)
			files[fmt.Sprintf("uploads/%s/%02d.csv", systemName(i), v)] = referenced(i, visitLog(start, 30, 5+float64(i%7)/3))
		}
		write(b, folder, files)
	}
	return folder
}
