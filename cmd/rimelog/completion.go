package main

import (
	"context"
	"flag"
	"fmt"
	"strings"
)

func completionCommand() command {
	return command{
		name: "completion", takes: "bash|zsh|fish",
		short: "prints a script that completes commands and flags in a shell",
		long: `  source <(rimelog completion bash)                                       in ~/.bashrc
  source <(rimelog completion zsh)                                        in ~/.zshrc, after compinit
  rimelog completion fish > ~/.config/fish/completions/rimelog.fish       once`,
		setup: func(*flag.FlagSet) action {
			return func(_ context.Context, out *console, operands []string) error {
				if len(operands) != 1 {
					return usagef("completion takes one shell: bash, zsh or fish")
				}
				write, ok := map[string]func() string{"bash": bashCompletion, "zsh": zshCompletion, "fish": fishCompletion}[operands[0]]
				if !ok {
					return usagef("completion for %q: want bash, zsh or fish", operands[0])
				}
				fmt.Fprint(out.out, write())
				return nil
			}
		},
	}
}

// flags are a command's flags, by name.
func (c command) flags() (all []*flag.Flag) {
	c.flagSet(&console{}).VisitAll(func(f *flag.Flag) { all = append(all, f) })
	return all
}

// topics are what `rimelog help` takes.
func topics() []string {
	names := []string{"options"}
	for _, c := range commands() {
		names = append(names, c.name)
	}
	return names
}

func commandNames() []string { return append(topics()[1:], "help") }

func bashCompletion() string {
	var b strings.Builder
	fmt.Fprintf(&b, `# Completion of rimelog for bash.
_rimelog() {
	local word=${COMP_WORDS[COMP_CWORD]} words
	if [ "$COMP_CWORD" = 1 ]; then
		words="%s"
	else
		case ${COMP_WORDS[1]} in
		help) words="%s" ;;
		completion) words="bash zsh fish" ;;
`, strings.Join(commandNames(), " "), strings.Join(topics(), " "))
	for _, c := range commands() {
		var flags []string
		for _, f := range c.flags() {
			flags = append(flags, "-"+f.Name)
		}
		if c.name != "completion" {
			fmt.Fprintf(&b, "\t\t%s) words=\"%s\" ;;\n", c.name, strings.Join(flags, " "))
		}
	}
	b.WriteString(`		esac
	fi
	COMPREPLY=($(compgen -W "$words" -- "$word"))
}
complete -o default -F _rimelog rimelog
`)
	return b.String()
}

func zshCompletion() string {
	var b strings.Builder
	b.WriteString("#compdef rimelog\n# Completion of rimelog for zsh.\n_rimelog() {\n\tif (( CURRENT == 2 )); then\n\t\tlocal -a names=(\n")
	for _, c := range commands() {
		fmt.Fprintf(&b, "\t\t\t%s\n", single(c.name+":"+c.short))
	}
	fmt.Fprintf(&b, "\t\t\t'help:tells more of a command'\n\t\t)\n\t\t_describe command names\n\t\treturn\n\tfi\n\tcase $words[2] in\n\thelp) compadd %s ;;\n\tcompletion) compadd bash zsh fish ;;\n", strings.Join(topics(), " "))
	for _, c := range commands() {
		if c.name == "completion" {
			continue
		}
		fmt.Fprintf(&b, "\t%s) _arguments", c.name)
		for _, f := range c.flags() {
			kind, text := flag.UnquoteUsage(f)
			value := ""
			if kind != "" {
				value = ":" + kind + ":_files"
			}
			fmt.Fprintf(&b, " \\\n\t\t%s", single("-"+f.Name+"["+strings.NewReplacer("[", "(", "]", ")", ":", ",").Replace(text)+"]"+value))
		}
		b.WriteString(" \\\n\t\t'*:file:_files' ;;\n")
	}
	b.WriteString("\tesac\n}\ncompdef _rimelog rimelog\n")
	return b.String()
}

func fishCompletion() string {
	var b strings.Builder
	b.WriteString("# Completion of rimelog for fish.\n")
	for _, c := range commands() {
		fmt.Fprintf(&b, "complete -c rimelog -n __fish_use_subcommand -f -a %s -d %s\n", c.name, single(c.short))
		for _, f := range c.flags() {
			kind, text := flag.UnquoteUsage(f)
			value := ""
			if kind != "" {
				value = " -r"
			}
			fmt.Fprintf(&b, "complete -c rimelog -n '__fish_seen_subcommand_from %s' -o %s%s -d %s\n", c.name, f.Name, value, single(text))
		}
	}
	fmt.Fprintf(&b, "complete -c rimelog -n __fish_use_subcommand -f -a help -d 'tells more of a command'\n")
	fmt.Fprintf(&b, "complete -c rimelog -n '__fish_seen_subcommand_from help' -f -a %s\n", single(strings.Join(topics(), " ")))
	fmt.Fprintf(&b, "complete -c rimelog -n '__fish_seen_subcommand_from completion' -f -a 'bash zsh fish'\n")
	return b.String()
}

// single puts text between single quotes, for any of the shells.
func single(text string) string { return "'" + strings.ReplaceAll(text, "'", "’") + "'" }
