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

// shells are those whose command line completion can complete; helpSummary is what it says of help,
// which is no command of the table.
var shells = []string{"bash", "zsh", "fish"}

const helpSummary = "tell of one of the commands"

func bash() string {
	var b strings.Builder
	var names []string
	for _, cmd := range commands() {
		names = append(names, cmd.name)
	}
	b.WriteString("# bash completion for bucktail\n_bucktail() {\n    local word=${COMP_WORDS[COMP_CWORD]}\n    COMPREPLY=()\n")
	fmt.Fprintf(&b, "    if [ \"$COMP_CWORD\" = 1 ] || [ \"${COMP_WORDS[1]}\" = help ]; then\n        mapfile -t COMPREPLY < <(compgen -W '%s help' -- \"$word\")\n        return\n    fi\n", strings.Join(names, " "))
	fmt.Fprintf(&b, "    if [ \"${COMP_WORDS[1]}\" = completion ]; then\n        mapfile -t COMPREPLY < <(compgen -W '%s' -- \"$word\")\n        return\n    fi\n", strings.Join(shells, " "))
	b.WriteString("    case $word in\n    -*) ;;\n    *)\n        mapfile -t COMPREPLY < <(compgen -f -- \"$word\")\n        return\n        ;;\n    esac\n    case ${COMP_WORDS[1]} in\n")
	for _, cmd := range commands() {
		_, options := optionsOf(cmd)
		var words []string
		for _, o := range options {
			words = append(words, dashed(o.name))
		}
		fmt.Fprintf(&b, "    %s) mapfile -t COMPREPLY < <(compgen -W '%s' -- \"$word\") ;;\n", cmd.name, strings.Join(words, " "))
	}
	b.WriteString("    esac\n}\ncomplete -o filenames -F _bucktail bucktail\n")
	return b.String()
}

// plain takes away what means something within a shell's single quotes or zsh's brackets.
var plain = strings.NewReplacer("'", "’", "[", "(", "]", ")")

// zshPart keeps a colon from ending a part of what zsh reads.
func zshPart(s string) string { return strings.ReplaceAll(plain.Replace(s), ":", `\:`) }

func zsh() string {
	var b strings.Builder
	b.WriteString("#compdef bucktail\nlocal -a commands\ncommands=(\n")
	for _, cmd := range commands() {
		fmt.Fprintf(&b, "  '%s:%s'\n", cmd.name, zshPart(cmd.summary))
	}
	fmt.Fprintf(&b, "  'help:%s'\n", helpSummary)
	b.WriteString(")\nif (( CURRENT == 2 )) || [[ $words[2] == help ]]; then\n  _describe command commands\n  return\nfi\nlocal command=$words[2]\nshift words\n(( CURRENT-- ))\ncase $command in\n")
	for _, cmd := range commands() {
		if cmd.name == "completion" {
			fmt.Fprintf(&b, "  completion) _values shell %s ;;\n", strings.Join(shells, " "))
			continue
		}
		_, options := optionsOf(cmd)
		fmt.Fprintf(&b, "  %s) _arguments", cmd.name)
		for _, o := range options {
			value := ""
			if o.value != "" {
				value = ":" + zshPart(o.value) + ":_files"
			}
			fmt.Fprintf(&b, " \\\n    '*%s[%s]%s'", dashed(o.name), zshPart(o.text), value)
		}
		b.WriteString(" \\\n    '*:file:_files' ;;\n")
	}
	b.WriteString("esac\n")
	return b.String()
}

func fish() string {
	var b strings.Builder
	b.WriteString("# fish completion for bucktail\n")
	const notHelp = "not __fish_seen_subcommand_from help"
	var names []string
	for _, cmd := range commands() {
		names = append(names, cmd.name)
		fmt.Fprintf(&b, "complete -c bucktail -n __fish_use_subcommand -f -a %s -d '%s'\n", cmd.name, plain.Replace(cmd.summary))
		_, options := optionsOf(cmd)
		for _, o := range options {
			needs := ""
			if o.value != "" {
				needs = " -r"
			}
			form := "-l"
			if len(o.name) == 1 {
				form = "-s"
			}
			fmt.Fprintf(&b, "complete -c bucktail -n '%s; and __fish_seen_subcommand_from %s' %s %s%s -d '%s'\n", notHelp, cmd.name, form, o.name, needs, plain.Replace(o.text))
		}
	}
	fmt.Fprintf(&b, "complete -c bucktail -n __fish_use_subcommand -f -a help -d '%s'\n", helpSummary)
	fmt.Fprintf(&b, "complete -c bucktail -n '__fish_seen_subcommand_from help' -f -a '%s'\n", strings.Join(names, " "))
	fmt.Fprintf(&b, "complete -c bucktail -n '%s; and __fish_seen_subcommand_from completion' -f -a '%s'\n", notHelp, strings.Join(shells, " "))
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
	fmt.Fprintf(&b, ".TH BUCKTAIL 1 \"%s\" \"bucktail\" \"User Commands\"\n.nh\n.SH NAME\nbucktail \\- measure rivets and holes on photos, judge them, keep the record\n", date)
	b.WriteString(".SH SYNOPSIS\n.B bucktail\n.I COMMAND\n[FLAGS] [FILES]\n.SH COMMANDS\n")
	for _, cmd := range commands() {
		fmt.Fprintf(&b, ".TP\n.B %s\n%s\n", cmd.name, roff(cmd.summary))
	}
	for _, cmd := range commands() {
		about, options := optionsOf(cmd)
		fmt.Fprintf(&b, ".SH %s\n", strings.ToUpper(cmd.name))
		about = strings.ReplaceAll(strings.TrimPrefix(about, "usage: "), "\n       bucktail", "\nbucktail")
		for i, paragraph := range strings.Split(strings.TrimSpace(about), "\n\n") {
			if i > 0 {
				b.WriteString(".PP\n")
			}
			if strings.Contains(paragraph, "\n ") || strings.Contains(paragraph, "\nbucktail") { // lines of their own
				fmt.Fprintf(&b, ".nf\n%s\n.fi\n", guarded(roff(paragraph)))
				continue
			}
			b.WriteString(guarded(wrapped(roff(paragraph), "")))
		}
		for _, o := range options {
			fmt.Fprintf(&b, ".TP\n.B %s", roff(dashed(o.name)))
			if o.value != "" {
				fmt.Fprintf(&b, " \\fI%s\\fR", roff(o.value))
			}
			b.WriteString("\n" + guarded(wrapped(roff(o.text), "")))
		}
	}
	b.WriteString(".SH \"EXIT STATUS\"\n0 done, 1 something could not be done (said why), 2 wrong usage.\n")
	b.WriteString(".SH ENVIRONMENT\n.TP\n.B BUCKTAIL_DATA\nfolder of the record, where \\-\\-data is not given\n")
	return b.String()
}

// roff escapes a text for man: hyphens that are typed.
func roff(s string) string {
	return strings.NewReplacer("\\", "\\e", "-", "\\-").Replace(s)
}

// guarded keeps lines that begin with a dot or a quote from being read as requests.
func guarded(s string) string {
	lines := strings.Split(s, "\n")
	for i, l := range lines {
		if strings.HasPrefix(l, ".") || strings.HasPrefix(l, "'") {
			lines[i] = "\\&" + l
		}
	}
	return strings.Join(lines, "\n")
}
