package cli

import (
	"bytes"
	"fmt"
	"regexp"
	"strings"
	"time"
)

// What shells and man need to know of the commands is read off their help, so that it is never
// behind it.

// helpOf gives the help of a command as it is printed.
func helpOf(cmd command) string {
	var b bytes.Buffer
	cmd.run(console{strings.NewReader(""), &b, &b}, []string{"-h"})
	return b.String()
}

// option is one flag: its name without dashes, its value's name ("" takes none), what it says.
type option struct{ name, value, text string }

var optionLine = regexp.MustCompile(`^  --?(\S+)(?: (\S.*))?$`)

// optionsOf reads the flags off a command's help. about is what stands before them.
func optionsOf(cmd command) (about string, options []option) {
	for line := range strings.Lines(helpOf(cmd)) {
		line = strings.TrimRight(line, "\n")
		switch m := optionLine.FindStringSubmatch(line); {
		case m != nil:
			options = append(options, option{name: m[1], value: m[2]})
		case len(options) == 0:
			about += line + "\n"
		default:
			o := &options[len(options)-1]
			o.text = strings.TrimSpace(o.text + " " + strings.TrimSpace(line))
		}
	}
	return about, options
}

// completion is the subcommand completion.
func completion(c console, args []string) int {
	f := newFlags("completion")
	usage := "completion bash|zsh|fish\n\n" +
		"Prints what completes the command line in that shell; it belongs\n" +
		"  bash: in ~/.local/share/bash-completion/completions/bucktail\n" +
		"  zsh:  in a file _bucktail in a folder of fpath\n" +
		"  fish: in ~/.config/fish/completions/bucktail.fish\n"
	if status, done := parseFlags(c, f, usage, args, 1); done {
		return status
	}
	write, ok := map[string]func() string{"bash": bash, "zsh": zsh, "fish": fish}[f.Arg(0)]
	if !ok {
		return misused(c, "completion", fmt.Errorf("completion knows bash, zsh and fish, not %q", f.Arg(0)))
	}
	fmt.Fprint(c.out, write())
	return 0
}

func bash() string {
	var b strings.Builder
	var names []string
	for _, cmd := range commands() {
		names = append(names, cmd.name)
	}
	b.WriteString("# bash completion for bucktail\n_bucktail() {\n    local word=${COMP_WORDS[COMP_CWORD]}\n    COMPREPLY=()\n")
	fmt.Fprintf(&b, "    if [ \"$COMP_CWORD\" = 1 ] || [ \"${COMP_WORDS[1]}\" = help ]; then\n        mapfile -t COMPREPLY < <(compgen -W '%s help' -- \"$word\")\n        return\n    fi\n", strings.Join(names, " "))
	b.WriteString("    case $word in\n    -*) ;;\n    *)\n        mapfile -t COMPREPLY < <(compgen -f -- \"$word\")\n        return\n        ;;\n    esac\n    case ${COMP_WORDS[1]} in\n")
	for _, cmd := range commands() {
		_, options := optionsOf(cmd)
		var words []string
		for _, o := range options {
			words = append(words, "--"+o.name)
		}
		fmt.Fprintf(&b, "    %s) mapfile -t COMPREPLY < <(compgen -W '%s' -- \"$word\") ;;\n", cmd.name, strings.Join(words, " "))
	}
	b.WriteString("    esac\n}\ncomplete -o filenames -F _bucktail bucktail\n")
	return b.String()
}

// plain takes away what means something within a shell's single quotes or zsh's brackets.
var plain = strings.NewReplacer("'", "’", "[", "(", "]", ")", ":", ";")

func zsh() string {
	var b strings.Builder
	b.WriteString("#compdef bucktail\nlocal -a commands\ncommands=(\n")
	for _, cmd := range commands() {
		fmt.Fprintf(&b, "  '%s:%s'\n", cmd.name, plain.Replace(cmd.summary))
	}
	b.WriteString(")\nif (( CURRENT == 2 )) || [[ $words[2] == help ]]; then\n  _describe command commands\n  return\nfi\nlocal command=$words[2]\nshift words\n(( CURRENT-- ))\ncase $command in\n")
	for _, cmd := range commands() {
		_, options := optionsOf(cmd)
		fmt.Fprintf(&b, "  %s) _arguments", cmd.name)
		for _, o := range options {
			value := ""
			if o.value != "" {
				value = ":" + plain.Replace(o.value) + ":_files"
			}
			fmt.Fprintf(&b, " \\\n    '*--%s[%s]%s'", o.name, plain.Replace(o.text), value)
		}
		b.WriteString(" \\\n    '*:file:_files' ;;\n")
	}
	b.WriteString("esac\n")
	return b.String()
}

func fish() string {
	var b strings.Builder
	b.WriteString("# fish completion for bucktail\n")
	for _, cmd := range commands() {
		fmt.Fprintf(&b, "complete -c bucktail -n __fish_use_subcommand -f -a %s -d '%s'\n", cmd.name, plain.Replace(cmd.summary))
		_, options := optionsOf(cmd)
		for _, o := range options {
			needs := ""
			if o.value != "" {
				needs = " -r"
			}
			fmt.Fprintf(&b, "complete -c bucktail -n '__fish_seen_subcommand_from %s' -l %s%s -d '%s'\n", cmd.name, o.name, needs, plain.Replace(o.text))
		}
	}
	return b.String()
}

// man is the subcommand man.
func man(c console, args []string) int {
	if status, done := parseFlags(c, newFlags("man"), "man\n\nPrints the manual page: bucktail man | man -l -", args, 0); done {
		return status
	}
	fmt.Fprint(c.out, manual(built()))
	return 0
}

// manual is the page in the language of man(7).
func manual(at time.Time) string {
	var b strings.Builder
	date := ""
	if !at.IsZero() {
		date = at.Format("2006-01-02")
	}
	fmt.Fprintf(&b, ".TH BUCKTAIL 1 \"%s\" \"bucktail\" \"User Commands\"\n.SH NAME\nbucktail \\- measure rivets and holes on photos, judge them, keep the record\n", date)
	b.WriteString(".SH SYNOPSIS\n.B bucktail\n.I COMMAND\n[FLAGS] [FILES]\n.SH COMMANDS\n")
	for _, cmd := range commands() {
		fmt.Fprintf(&b, ".TP\n.B %s\n%s\n", cmd.name, roff(cmd.summary))
	}
	for _, cmd := range commands() {
		about, options := optionsOf(cmd)
		fmt.Fprintf(&b, ".SH %s\n.nf\n%s.fi\n", strings.ToUpper(cmd.name), roff(strings.TrimRight(about, "\n")+"\n"))
		for _, o := range options {
			fmt.Fprintf(&b, ".TP\n.B \\-\\-%s", roff(o.name))
			if o.value != "" {
				fmt.Fprintf(&b, " \\fI%s\\fR", roff(o.value))
			}
			fmt.Fprintf(&b, "\n%s\n", roff(o.text))
		}
	}
	b.WriteString(".SH \"EXIT STATUS\"\n0 done, 1 something could not be done (said why), 2 wrong usage.\n")
	b.WriteString(".SH ENVIRONMENT\n.TP\n.B BUCKTAIL_DATA\nfolder of the record, where \\-\\-data is not given\n")
	return b.String()
}

// roff escapes a text for man: hyphens that are typed, and lines that begin with a dot.
func roff(s string) string {
	s = strings.NewReplacer("\\", "\\e", "-", "\\-").Replace(s)
	lines := strings.Split(s, "\n")
	for i, l := range lines {
		if strings.HasPrefix(l, ".") || strings.HasPrefix(l, "'") {
			lines[i] = "\\&" + l
		}
	}
	return strings.Join(lines, "\n")
}
