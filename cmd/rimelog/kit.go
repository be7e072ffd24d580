package main

import (
	"context"
	"embed"
	"flag"
	"fmt"
	"maps"
	"slices"
	"strings"
)

//go:embed kit
var kit embed.FS

// kitFiles are the files of the operation kit by the name to ask for them.
var kitFiles = map[string]string{
	"service": "rimelog.service", "timer": "rimelog.timer", "container": "Containerfile", "cron": "crontab",
	"slurm": "slurm.sh", "kubernetes": "kubernetes.yaml", "cluster-container": "Containerfile.cluster",
}

func kitCommand() command {
	return command{
		name: "kit", takes: "service|timer|container|cron|slurm|kubernetes|cluster-container",
		short: "prints what runs the nightly job: systemd units, a container file, a cron line, clusters",
		long: `  rimelog kit service > /etc/systemd/system/rimelog.service
  rimelog kit timer > /etc/systemd/system/rimelog.timer && systemctl enable --now rimelog.timer
  rimelog kit container > Containerfile
  rimelog kit cron | crontab -
  rimelog kit slurm > slurm.sh && RIMELOG_WORKSPACE=URL sh slurm.sh 8
  rimelog kit kubernetes > kubernetes.yaml && kubectl -n rimelog apply -f kubernetes.yaml

The units expect the program at /usr/local/bin, the workspace at /srv/rimelog and a user rimelog; change
them to yours. slurm and kubernetes run the stages in shards on many machines (` + "`rimelog help plan`" + `); what to
change in them stands at their top. Operations are explained in the README.`,
		setup: func(*flag.FlagSet) action {
			return func(_ context.Context, out *console, operands []string) error {
				if len(operands) != 1 || kitFiles[operands[0]] == "" {
					return usagef("kit takes one of %s", strings.Join(slices.Sorted(maps.Keys(kitFiles)), ", "))
				}
				b, err := kit.ReadFile("kit/" + kitFiles[operands[0]])
				if err != nil {
					return err
				}
				fmt.Fprintf(out.out, "%s", b)
				return nil
			}
		},
	}
}
