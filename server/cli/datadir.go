package cli

import (
	"errors"
	"os"
	"path/filepath"
	"runtime"
)

// defaultDataDir is where the record lies unless told otherwise: BUCKTAIL_DATA, else the
// user's data folder as the system has it (XDG Base Directory Specification on Linux).
func defaultDataDir() (string, error) {
	if dir := os.Getenv("BUCKTAIL_DATA"); dir != "" {
		return dir, nil
	}
	home, err := os.UserHomeDir()
	switch runtime.GOOS {
	case "windows":
		if dir := os.Getenv("LocalAppData"); dir != "" {
			return filepath.Join(dir, "Bucktail"), nil
		}
	case "darwin":
		if err == nil {
			return filepath.Join(home, "Library", "Application Support", "Bucktail"), nil
		}
	default:
		if dir := os.Getenv("XDG_DATA_HOME"); filepath.IsAbs(dir) {
			return filepath.Join(dir, "bucktail"), nil
		}
		if err == nil {
			return filepath.Join(home, ".local", "share", "bucktail"), nil
		}
	}
	return "", errors.New("this user has no home folder: say with --data where to keep the record")
}
