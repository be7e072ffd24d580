package main

import (
	"context"
	"errors"
	"flag"
	"fmt"
	"io"
	"strings"
)

// A command is one of the program's subcommands.
type command struct {
	name  string
	takes string // the operands, for the usage line
	short string // one line for the list of commands
	long  string // what it reads, does and leaves, for its own help
	// setup defines the command's flags and returns what runs once they are parsed.
	setup func(*flag.FlagSet) action
}

// An action does a command's work on its operands.
type action func(ctx context.Context, out *console, operands []string) error

// commands returns all subcommands in the order in which a newcomer meets them.
func commands() []command {
	return []command{
		demoCommand(), initCommand(), runCommand(), ingestCommand(), analyseCommand(), reportCommand(),
		explainCommand(), forgetCommand(), verifyCommand(), pruneCommand(),
		nightlyCommand(), digestCommand(), kitCommand(),
		planCommand(), fleetCommand(), statusCommand(),
		simulateCommand(), scoreCommand(),
		tablesCommand(), exportCommand(),
		propertyCommand(), refrigerantsCommand(), rulesCommand(),
		completionCommand(), manCommand(), versionCommand(),
	}
}

func dispatch(ctx context.Context, args []string, out *console) error {
	if len(args) == 0 {
		fmt.Fprint(out.err, overview())
		return usagef("which command? `rimelog help` explains them")
	}
	switch args[0] {
	case "help", "-h", "-help", "--help":
		return help(args[1:], out)
	}
	c, err := find(args[0])
	if err != nil {
		return err
	}
	return c.run(ctx, args[1:], out)
}

func find(name string) (command, error) {
	for _, c := range commands() {
		if c.name == name {
			return c, nil
		}
	}
	return command{}, usagef("there is no command %q; `rimelog help` lists them", name)
}

func (c command) run(ctx context.Context, args []string, out *console) error {
	fs := flag.NewFlagSet(c.name, flag.ContinueOnError)
	do := c.define(fs, out)
	operands, err := parse(fs, args)
	if errors.Is(err, flag.ErrHelp) {
		fmt.Fprint(out.out, c.help(fs))
		return nil
	}
	if err != nil {
		return usagef("%v; `rimelog help %s` lists the flags", err, c.name)
	}
	if c.takes == "" && len(operands) > 0 {
		return usagef("%s takes no operand, but got %q", c.name, operands[0])
	}
	return do(ctx, out, operands)
}

// define gives a flag set the command's flags, and those that all commands have.
func (c command) define(fs *flag.FlagSet, out *console) action {
	fs.SetOutput(io.Discard)
	fs.BoolVar(&out.json, "json", false, "print one JSON object instead of text, errors included")
	return c.setup(fs)
}

// flagSet is the command's flags, to be looked at.
func (c command) flagSet(out *console) *flag.FlagSet {
	fs := flag.NewFlagSet(c.name, flag.ContinueOnError)
	c.define(fs, out)
	return fs
}

// parse reads flags wherever they stand among the operands.
func parse(fs *flag.FlagSet, args []string) (operands []string, err error) {
	for len(args) > 0 {
		if err := fs.Parse(args); err != nil {
			return nil, err
		}
		if args = fs.Args(); len(args) > 0 {
			operands, args = append(operands, args[0]), args[1:]
		}
	}
	return operands, nil
}

func help(args []string, out *console) error {
	if len(args) == 0 {
		fmt.Fprint(out.out, overview())
		return nil
	}
	if args[0] == "options" {
		fmt.Fprint(out.out, optionsHelp())
		return nil
	}
	c, err := find(args[0])
	if err != nil {
		return err
	}
	fmt.Fprint(out.out, c.help(c.flagSet(&console{})))
	return nil
}

func (c command) help(fs *flag.FlagSet) string {
	var b strings.Builder
	usage := strings.TrimSpace("rimelog " + c.name + " [flags] " + c.takes)
	fmt.Fprintf(&b, "%s\n\n  %s\n\n%s\n\nFlags (one dash or two, before or after operands):\n", c.short, usage, c.long)
	fs.VisitAll(func(f *flag.Flag) {
		kind, text := flag.UnquoteUsage(f)
		fmt.Fprintf(&b, "  %-22s %s%s\n", strings.TrimSpace("-"+f.Name+" "+kind), text, otherwise(f.DefValue))
	})
	return b.String() + "\n" + exitCodes
}

func otherwise(value string) string {
	if value == "" || value == "false" || value == "0" {
		return ""
	}
	return " (default " + value + ")"
}

const introduction = `rimelog tells which refrigeration machines get worse, from the CSV exports of any logger.

A workspace is a folder: put exports below uploads/, describe the machines in
register/*.csv, run rimelog, open report/index.html. What was read before is not read
again; nothing in uploads/ or register/ is ever changed.
`

func overview() string {
	var b strings.Builder
	b.WriteString(introduction + `
Start with

  rimelog demo -workspace demo     an invented fleet, end to end
  rimelog init -workspace firm     a workspace of your own
  rimelog explain FILE             how a logger's file is read, and why
  rimelog run -workspace firm      read, analyse, report; only what is new

Commands:
`)
	for _, c := range commands() {
		fmt.Fprintf(&b, "  %-12s %s\n", c.name, c.short)
	}
	b.WriteString("\n`rimelog help COMMAND` tells more of one, `rimelog help options` explains rimelog.json.\n\n" + exitCodes + "\n" + caution)
	return b.String()
}

const exitCodes = `Exit codes: 0 done; 1 failed, trying again may help; 2 usage or options; 3 done,
but something was left out (the report's data quality section or the error column
says what); 4 another run holds the workspace; 5 stopped at -until, the rest next
time; 130 interrupted.
`

const caution = `rimelog analyses; it never controls or protects a machine. Its findings are
indications to be confirmed on site. Refrigerant circuits are under pressure and may
hold flammable or toxic gas: only licensed persons open them, under local codes.
`
