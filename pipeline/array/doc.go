// Package array lets an existing scheduler (a Slurm job array, a Kubernetes Indexed Job)
// run the job on many machines. It starts nothing and waits for nothing:
//
//  1. [Freeze] puts the list of uploads and the shard of each upload, system and page into one
//     object below run/, once per run: whoever shares the run goes by the same list. Each
//     stage is shared out by what its units weigh; what the plan cannot know yet, by hash.
//  2. A [Shard] says which uploads and which systems are its own.
//  3. A [Barrier] is a round that has no jobs and fails while something that the next
//     rounds rest on is missing. It asks the ledger, not the scheduler.
//  4. Where asking means working out again what a shard made, the shard leaves a voucher
//     ([Plan.Vouch]): the generations that it saw complete. It counts as long as the ledger
//     has these and no newer ones, so a stale one only costs time. Beside it lie excerpts
//     of what it made ([Plan.Excerpt]), so that the next stage opens one object for each
//     shard in place of thousands of files; and shards of ingest leave what they found of
//     uploads ([Plan.Leave]), so that no later stage decodes their facts again.
//  5. [Count] sums what is done, missing and rejected, and estimates the time left.
//
// What the shards do is [pipeline.Run]'s and the dataset's own: results are named by what
// they are made from, so losing a race to another copy of a shard is success, and neither
// the number of shards nor the run stands in any result. The frozen plan may be deleted
// when its run is over.
package array
