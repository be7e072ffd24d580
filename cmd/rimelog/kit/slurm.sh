#!/bin/sh
# One night on a Slurm cluster, the stages one after the other, each in as many tasks as it
# has shards. On the login node:
#
#   RIMELOG_WORKSPACE='s3://NAME?region=eu-central-1' sh slurm.sh 8
#
# A task whose node is lost is requeued by Slurm. One that failed where trying again may help
# (exit codes 1 and 4) requeues itself, at most RIMELOG_TRIES times. One that was started
# wrongly (2) fails, and what waits for it is cancelled: mend it and submit again. What was
# done stays done.
#
# The program must be on the path of all nodes. The workspace is a URL, or a folder that all
# nodes share. RIMELOG_RUN names the night (today's date if not given), RIMELOG_AS_OF the day
# that findings are judged on (today; empty: that of the newest sample).
#SBATCH --job-name=rimelog
#SBATCH --requeue
#SBATCH --open-mode=append
#SBATCH --cpus-per-task=1
#SBATCH --mem=512M
set -eu

if [ -z "${SLURM_JOB_ID:-}" ]; then # on the login node: submit
    shards=${1:?how many shards?}
    : "${RIMELOG_WORKSPACE:?the URL or folder of the workspace}"
    export RIMELOG_WORKSPACE RIMELOG_SHARDS="$shards"
    export RIMELOG_RUN="${RIMELOG_RUN:-$(date +%F)}" RIMELOG_AS_OF="${RIMELOG_AS_OF-$(date +%F)}"
    submit() { # STAGE [SBATCH-OPTION...]
        stage=$1
        shift
        RIMELOG_STAGE=$stage sbatch --parsable --kill-on-invalid-dep=yes "$@" "$0"
    }
    tasks=--array=0-$((shards - 1))
    plan=$(submit plan)
    ingest=$(submit ingest "$tasks" --dependency=afterok:"$plan")
    analyse=$(submit analyse "$tasks" --dependency=afterok:"$ingest")
    fleet=$(submit fleet --dependency=afterok:"$analyse")
    report=$(submit report "$tasks" --dependency=afterok:"$fleet")
    echo "plan $plan, ingest $ingest, analyse $analyse, fleet $fleet, report $report; rimelog status tells how far they are"
    exit
fi

case $RIMELOG_STAGE in
plan) set -- -shards "$RIMELOG_SHARDS" ;;
fleet) set -- ${RIMELOG_AS_OF:+-as-of "$RIMELOG_AS_OF"} ;;
*) set -- -shard "$SLURM_ARRAY_TASK_ID/$RIMELOG_SHARDS" ;;
esac
export GOMEMLIMIT="${GOMEMLIMIT:-400MiB}"
code=0
rimelog "$RIMELOG_STAGE" -workspace "$RIMELOG_WORKSPACE" -run "$RIMELOG_RUN" -workers "${SLURM_CPUS_PER_TASK:-1}" "$@" || code=$?
case $code in
1 | 4)
    if [ "${SLURM_RESTART_COUNT:-0}" -lt "${RIMELOG_TRIES:-5}" ]; then
        scontrol requeue "$SLURM_JOB_ID"
        sleep 60 # Slurm ends this task
    fi
    ;;
esac
exit "$code"
