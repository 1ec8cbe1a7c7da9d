package dossier

import (
	"strings"
	"unicode"
	"unicode/utf8"
)

// longestName is the longest name of a file in bytes.
const longestName = 255

// badName says why a name may not stand in a dossier, "" when it may: it has to
// mean one plain file inside one folder on every system.
func badName(name string) string {
	switch {
	case name == "" || len(name) > longestName:
		return "is empty or longer than 255 bytes"
	case !utf8.ValidString(name):
		return "is not UTF-8"
	case strings.HasPrefix(name, "/"):
		return "begins at the root of the machine"
	case strings.Contains(name, `\`):
		return "holds a backslash"
	case strings.Contains(name, ":"):
		return "holds a colon, as drives do"
	}
	for _, r := range name {
		if !unicode.In(r, unicode.L, unicode.M, unicode.N) && !strings.ContainsRune("/ ._-+,()'&=@", r) {
			return "holds a character that may not stand in it"
		}
	}
	for _, part := range strings.Split(name, "/") {
		switch {
		case part == "" || part == "." || part == "..":
			return "leaves its folder"
		case strings.TrimSpace(part) != part || strings.HasSuffix(part, "."):
			return "holds a name that some systems cut short"
		case device(part):
			return "names a device on some systems"
		}
	}
	return ""
}

// device reports whether some systems take the name for a device.
func device(name string) bool {
	base, _, _ := strings.Cut(strings.ToLower(name), ".")
	base = strings.TrimSpace(base)
	switch base {
	case "con", "prn", "aux", "nul", "conin$", "conout$":
		return true
	}
	return len(base) == 4 && (strings.HasPrefix(base, "com") || strings.HasPrefix(base, "lpt")) && base[3] >= '0' && base[3] <= '9'
}

// sameName is the form under which two names are the same on some system.
func sameName(name string) string { return strings.ToLower(strings.ToUpper(name)) }
