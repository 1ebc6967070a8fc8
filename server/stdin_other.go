//go:build !unix

package main

func ignoreBackgroundRead() {}
