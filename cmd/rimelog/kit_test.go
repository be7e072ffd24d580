package main

import (
	"fmt"
	"os/exec"
	"regexp"
	"slices"
	"strings"
	"testing"

	jobs "k8s.io/api/batch/v1"
	core "k8s.io/api/core/v1"
	rbac "k8s.io/api/rbac/v1"
	"sigs.k8s.io/yaml"
)

// manifests decodes the Kubernetes kit by the types of the published API (k8s.io/api
// v0.37), strictly: a field that the API does not have, or has as another type, is an error.
func manifests(t *testing.T) map[string]jobs.CronJob {
	t.Helper()
	text, err := kit.ReadFile("kit/kubernetes.yaml")
	if err != nil {
		t.Fatal(err)
	}
	all := map[string]jobs.CronJob{}
	kinds := map[string]int{}
	for _, doc := range strings.Split(string(text), "\n---\n") {
		kind := regexp.MustCompile(`(?m)^kind: (\w+)$`).FindStringSubmatch(doc)[1]
		kinds[kind]++
		var job jobs.CronJob
		into := map[string]any{
			"ConfigMap": new(core.ConfigMap), "ServiceAccount": new(core.ServiceAccount),
			"Role": new(rbac.Role), "RoleBinding": new(rbac.RoleBinding), "CronJob": &job,
		}[kind]
		if err := yaml.UnmarshalStrict([]byte(doc), into); err != nil {
			t.Errorf("%s: %v", kind, err)
		}
		if kind == "CronJob" {
			all[job.Name] = job
		}
	}
	if len(all) != 6 || kinds["CronJob"] != 6 {
		t.Errorf("cron jobs %d, kinds %v", len(all), kinds)
	}
	return all
}

func TestManifestsAreOfThePublishedAPI(t *testing.T) {
	for name, job := range manifests(t) {
		if job.APIVersion != jobs.SchemeGroupVersion.String() {
			t.Errorf("%s is of %s", name, job.APIVersion)
		}
		spec := job.Spec.JobTemplate.Spec
		pod := spec.Template.Spec
		// kubernetes.io/docs/concepts/workloads/controllers/job: a pod failure policy asks for
		// restartPolicy Never, backoffLimitPerIndex for an Indexed job with completions.
		if pod.RestartPolicy != core.RestartPolicyNever {
			t.Errorf("%s restarts %s", name, pod.RestartPolicy)
		}
		for _, c := range pod.Containers {
			if c.Resources.Limits.Memory().IsZero() || c.Resources.Requests.Memory().IsZero() {
				t.Errorf("%s: %s asks for no memory or has no limit", name, c.Name)
			}
			if c.Resources.Limits.Memory().Value() > 512<<20 {
				t.Errorf("%s: %s may take more than 512 MiB", name, c.Name)
			}
			mounts(t, name, pod, c)
		}
		if name != "rimelog" && (job.Spec.Suspend == nil || !*job.Spec.Suspend) {
			t.Errorf("%s would run by itself", name)
		}
	}
}

func mounts(t *testing.T, name string, pod core.PodSpec, c core.Container) {
	t.Helper()
	for _, m := range c.VolumeMounts {
		if !slices.ContainsFunc(pod.Volumes, func(v core.Volume) bool { return v.Name == m.Name }) {
			t.Errorf("%s mounts %s, which is no volume of it", name, m.Name)
		}
	}
}

// The stages of the manifests are those of `rimelog help plan`, with as many indices as the
// plan has shards; exit code 2 is tried no more.
func TestManifestsKeepTheContract(t *testing.T) {
	all := manifests(t)
	shards := shardsOf(t, all["rimelog-plan"])
	for _, stage := range []string{"plan", "ingest", "analyse", "fleet", "report"} {
		spec := all["rimelog-"+stage].Spec.JobTemplate.Spec
		if spec.PodFailurePolicy == nil {
			t.Fatalf("%s has no pod failure policy", stage)
		}
		rule := spec.PodFailurePolicy.Rules[0]
		if rule.OnExitCodes == nil || !slices.Equal(rule.OnExitCodes.Values, []int32{exitUsage}) {
			t.Errorf("%s: exit code %d is tried again", stage, exitUsage)
		}
		if stage == "plan" || stage == "fleet" {
			if rule.Action != jobs.PodFailurePolicyActionFailJob {
				t.Errorf("%s: %s", stage, rule.Action)
			}
			continue
		}
		if *spec.CompletionMode != jobs.IndexedCompletion || spec.BackoffLimitPerIndex == nil || rule.Action != jobs.PodFailurePolicyActionFailIndex {
			t.Errorf("%s: %s, %v, %s", stage, *spec.CompletionMode, spec.BackoffLimitPerIndex, rule.Action)
		}
		if got := fmt.Sprint(*spec.Completions); got != shards {
			t.Errorf("%s has %s indices, the plan %s shards", stage, got, shards)
		}
		args := spec.Template.Spec.Containers[0].Args
		if args[0] != stage || args[len(args)-1] != "$(JOB_COMPLETION_INDEX)/"+shards {
			t.Errorf("%s runs %v", stage, args)
		}
	}
	chain := strings.Join(all["rimelog"].Spec.JobTemplate.Spec.Template.Spec.Containers[0].Args, "")
	if !strings.Contains(chain, "for stage in plan ingest analyse fleet report; do") {
		t.Errorf("the chain is %s", chain)
	}
	if out, err := exec.Command("sh", "-n", "-c", chain).CombinedOutput(); err != nil {
		t.Errorf("the chain is no shell script: %v %s", err, out)
	}
}

func shardsOf(t *testing.T, plan jobs.CronJob) string {
	t.Helper()
	args := plan.Spec.JobTemplate.Spec.Template.Spec.Containers[0].Args
	if i := slices.Index(args, "-shards"); i > 0 {
		return args[i+1]
	}
	t.Fatalf("plan has no shards: %v", args)
	return ""
}

// Every flag in the manifests and the batch script is one that the command has.
func TestKitFlagsAreTheCommands(t *testing.T) {
	for name, job := range manifests(t) {
		c := job.Spec.JobTemplate.Spec.Template.Spec.Containers[0]
		stage, ok := strings.CutPrefix(name, "rimelog-")
		if !ok {
			continue
		}
		command, err := find(stage)
		if err != nil {
			t.Fatal(err)
		}
		args := regexp.MustCompile(`\$\(date[^)]*\)`).ReplaceAllString(strings.Join(c.Args, " "), "")
		for _, word := range strings.Fields(args) {
			if flagName, isFlag := strings.CutPrefix(word, "-"); isFlag && command.flagSet(&console{}).Lookup(flagName) == nil {
				t.Errorf("%s has no flag %s", stage, word)
			}
		}
	}
}

func TestBatchScriptIsAShellScript(t *testing.T) {
	if out, err := exec.Command("sh", "-n", "kit/slurm.sh").CombinedOutput(); err != nil {
		t.Errorf("%v: %s", err, out)
	}
}
