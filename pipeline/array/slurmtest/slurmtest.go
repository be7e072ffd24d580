// Package slurmtest starts a real Slurm cluster of three nodes on this host for tests:
// Debian's packages slurmctld, slurmd, slurm-client and munge, one processor a node, no
// control groups. Only root may. `make test-array` installs the packages.
package slurmtest

import (
	"bytes"
	"fmt"
	"os"
	"os/exec"
	"path/filepath"
	"strconv"
	"strings"
	"syscall"
	"testing"
	"time"
)

// Nodes are the names of the cluster's nodes.
var Nodes = []string{"w0", "w1", "w2"}

// A Cluster runs batch scripts until its test ends.
type Cluster struct {
	t      *testing.T
	folder string
	env    []string
	nodes  map[string]*exec.Cmd
}

// Start starts a cluster whose tasks find programs in bin first.
func Start(t *testing.T, bin string) *Cluster {
	t.Helper()
	if os.Geteuid() != 0 {
		t.Fatal("a cluster is started by root: its daemons give tasks their users")
	}
	c := &Cluster{t: t, folder: t.TempDir(), nodes: map[string]*exec.Cmd{}}
	c.env = append(os.Environ(), "SLURM_CONF="+c.path("slurm.conf"), "PATH="+bin+":/usr/sbin:"+os.Getenv("PATH"))
	c.configure()
	c.munge()
	c.daemon("slurmctld", "-D", "-c")
	for _, name := range Nodes {
		c.StartNode(name)
	}
	c.Await(time.Minute, "all nodes are idle", func() bool {
		return strings.Count(c.Do("sinfo", "-h", "-N", "-o", "%T"), "idle") == len(Nodes)
	})
	return c
}

func (c *Cluster) path(name string) string { return filepath.Join(c.folder, name) }

func (c *Cluster) configure() {
	c.t.Helper()
	host, err := os.Hostname()
	if err != nil {
		c.t.Fatal(err)
	}
	conf := fmt.Sprintf(`ClusterName=rime
SlurmctldHost=%[1]s(127.0.0.1)
SlurmctldPort=16817
SlurmUser=root
SlurmdUser=root
AuthType=auth/munge
AuthInfo=socket=%[2]s/munge.socket
ProctrackType=proctrack/linuxproc
TaskPlugin=task/none
SelectType=select/cons_tres
SelectTypeParameters=CR_CPU
ReturnToService=2
JobRequeue=1
SlurmdTimeout=20
MinJobAge=3600
StateSaveLocation=%[2]s/state
SlurmctldPidFile=%[2]s/ctld.pid
SlurmctldLogFile=%[2]s/ctld.log
SlurmdSpoolDir=%[2]s/spool.%%n
SlurmdPidFile=%[2]s/%%n.pid
SlurmdLogFile=%[2]s/%%n.log
NodeName=w[0-2] NodeHostname=%[1]s NodeAddr=127.0.0.1 Port=[16820-16822] CPUs=1 RealMemory=1024
PartitionName=all Nodes=ALL Default=YES MaxTime=INFINITE State=UP
`, host, c.folder)
	for _, folder := range []string{"state", "spool.w0", "spool.w1", "spool.w2"} {
		if err := os.Mkdir(c.path(folder), 0o755); err != nil {
			c.t.Fatal(err)
		}
	}
	if err := os.WriteFile(c.path("slurm.conf"), []byte(conf), 0o644); err != nil {
		c.t.Fatal(err)
	}
}

// munge starts the daemon by which the cluster's own trust each other, with a key of its own.
func (c *Cluster) munge() {
	c.t.Helper()
	if err := os.WriteFile(c.path("munge.key"), bytes.Repeat([]byte("not a secret, for a test "), 8), 0o600); err != nil {
		c.t.Fatal(err)
	}
	c.daemon("munged", "--foreground", "--force", "--key-file="+c.path("munge.key"), "--socket="+c.path("munge.socket"),
		"--pid-file="+c.path("munge.pid"), "--log-file="+c.path("munge.log"), "--seed-file="+c.path("munge.seed"))
	c.Await(20*time.Second, "munge answers", func() bool {
		_, err := os.Stat(c.path("munge.socket"))
		return err == nil
	})
}

// daemon starts a daemon that ends with the test.
func (c *Cluster) daemon(name string, args ...string) *exec.Cmd {
	c.t.Helper()
	cmd := exec.Command(name, args...)
	cmd.Env = c.env
	log, err := os.Create(c.path(fmt.Sprintf("%s%d.out", name, time.Now().UnixNano())))
	if err != nil {
		c.t.Fatal(err)
	}
	cmd.Stdout, cmd.Stderr = log, log
	if err := cmd.Start(); err != nil {
		c.t.Fatalf("%s: %v; `make slurm` installs it", name, err)
	}
	c.t.Cleanup(func() {
		cmd.Process.Kill()
		cmd.Wait()
		log.Close()
	})
	return cmd
}

// StartNode starts a node, for the first time or again.
func (c *Cluster) StartNode(name string) {
	c.t.Helper()
	c.nodes[name] = c.daemon("slurmd", "-D", "-N", name)
}

// KillNode kills a node's daemon and everything that runs on it, as a loss of power would.
func (c *Cluster) KillNode(name string) {
	c.t.Helper()
	c.nodes[name].Process.Kill()
	c.nodes[name].Wait()
	for _, pid := range c.tasks(name) {
		syscall.Kill(pid, syscall.SIGKILL)
	}
}

// tasks are the processes on a node, those that watch over them first.
func (c *Cluster) tasks(name string) (pids []int) {
	environs, err := filepath.Glob("/proc/[0-9]*/environ")
	if err != nil {
		c.t.Fatal(err)
	}
	for _, file := range environs {
		env, err := os.ReadFile(file)
		if err != nil || !strings.Contains("\x00"+string(env), "\x00SLURMD_NODENAME="+name+"\x00") || !strings.Contains(string(env), c.path("slurm.conf")) {
			continue
		}
		pid, err := strconv.Atoi(filepath.Base(filepath.Dir(file)))
		if err != nil {
			c.t.Fatal(err)
		}
		pids = append(pids, parent(pid), pid)
	}
	return pids
}

// parent is the process that started one, where that is Slurm's; else the process itself.
func parent(pid int) int {
	text, err := os.ReadFile(fmt.Sprintf("/proc/%d/status", pid))
	if err != nil {
		return pid
	}
	for line := range strings.Lines(string(text)) {
		if up, ok := strings.CutPrefix(line, "PPid:\t"); ok {
			if n, err := strconv.Atoi(strings.TrimSpace(up)); err == nil && isStep(n) {
				return n
			}
		}
	}
	return pid
}

func isStep(pid int) bool {
	name, err := os.ReadFile(fmt.Sprintf("/proc/%d/comm", pid))
	return err == nil && strings.HasPrefix(string(name), "slurmstepd")
}

// Do runs one of Slurm's commands, or a script that does, in the cluster's folder.
func (c *Cluster) Do(name string, args ...string) string {
	c.t.Helper()
	cmd := exec.Command(name, args...)
	cmd.Env, cmd.Dir = c.env, c.folder
	out, err := cmd.CombinedOutput()
	if err != nil {
		c.t.Fatalf("%s %v: %v: %s", name, args, err, out)
	}
	return string(out)
}

// Setenv sets a variable for what Do runs, and for the tasks it submits.
func (c *Cluster) Setenv(name, value string) { c.env = append(c.env, name+"="+value) }

// Await waits until something is so.
func (c *Cluster) Await(long time.Duration, what string, so func() bool) {
	c.t.Helper()
	for end := time.Now().Add(long); time.Now().Before(end); time.Sleep(500 * time.Millisecond) {
		if so() {
			return
		}
	}
	c.t.Fatalf("not within %v: %s\n%s%s", long, what, c.Do("squeue", "-r"), c.logs())
}

// logs are the ends of what the daemons and tasks said.
func (c *Cluster) logs() string {
	var b strings.Builder
	for _, pattern := range []string{"*.out", "*.log"} {
		files, _ := filepath.Glob(c.path(pattern))
		for _, file := range files {
			text, _ := os.ReadFile(file)
			fmt.Fprintf(&b, "== %s\n%s\n", filepath.Base(file), text[max(0, len(text)-2000):])
		}
	}
	return b.String()
}

// Tasks tells of every task that was submitted: its state, and how often it was requeued.
func (c *Cluster) Tasks() (states map[string]int, requeued int) {
	c.t.Helper()
	states = map[string]int{}
	for line := range strings.Lines(c.Do("scontrol", "-o", "show", "job")) {
		for _, field := range strings.Fields(line) {
			if state, ok := strings.CutPrefix(field, "JobState="); ok {
				states[state]++
			}
			if n, ok := strings.CutPrefix(field, "Restarts="); ok && n != "0" {
				requeued++
			}
		}
	}
	return states, requeued
}
