package main

import (
	"context"
	"flag"
	"fmt"
	"strings"
)

func manCommand() command {
	return command{
		name:  "man",
		short: "prints the manual page",
		long: `  rimelog man | man -l -                                        to read it
  rimelog man > /usr/local/share/man/man1/rimelog.1             to install it`,
		setup: func(*flag.FlagSet) action {
			return func(_ context.Context, out *console, _ []string) error {
				fmt.Fprint(out.out, manPage())
				return nil
			}
		},
	}
}

// manPage is the manual in the man macros (man(7)), made from the same texts as the help.
func manPage() string {
	var b strings.Builder
	b.WriteString(`.TH RIMELOG 1
.SH NAME
rimelog \- tells which refrigeration machines get worse, from the CSV exports of any logger
.SH SYNOPSIS
.B rimelog
.I command
.RI [ flags ]
.RI [ operands ]
.SH DESCRIPTION
`)
	b.WriteString(roff(introduction))
	b.WriteString(".SH COMMANDS\n")
	for _, c := range commands() {
		fmt.Fprintf(&b, ".SS %s\n.B rimelog %s\n.RI [ flags ]\n%s.PP\n%s.PP\n.nf\n%s.fi\n", c.name, c.name, roffOperands(c.takes), roff(capitalised(c.short)), roff(c.long))
		for _, f := range c.flags() {
			kind, text := flag.UnquoteUsage(f)
			fmt.Fprintf(&b, ".TP\n.BI %s \" %s\"\n%s", strings.TrimSpace(roff("-"+f.Name)), kind, roff(text+otherwise(f.DefValue)))
		}
	}
	fmt.Fprintf(&b, ".SH OPTIONS FILE\n.nf\n%s.fi\n.SH EXIT STATUS\n%s.SH CAUTIONS\n%s", roff(optionsHelp()), roff(exitCodes), roff(caution))
	return b.String()
}

func roffOperands(takes string) string {
	if takes == "" {
		return ""
	}
	return ".I " + strings.TrimSpace(roff(takes)) + "\n"
}

func capitalised(s string) string { return strings.ToUpper(s[:1]) + s[1:] + "." }

// roff escapes text for a manual page, line by line.
func roff(text string) string {
	var b strings.Builder
	for line := range strings.Lines(text) {
		line = strings.NewReplacer(`\`, `\e`, "-", `\-`, "\t", "    ").Replace(strings.TrimRight(line, "\n"))
		if strings.HasPrefix(line, ".") || strings.HasPrefix(line, "'") {
			line = `\&` + line
		}
		b.WriteString(line + "\n")
	}
	return b.String()
}
