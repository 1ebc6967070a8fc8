//go:build js

package photo

// memoryBudget is what decoding one picture may take, bytes. A browser's linear
// memory never shrinks and phones end a page that takes too much; this still holds
// 50 MP of baseline 4:2:0 (3 bytes a pixel with the turned copy) and 25 MP of
// progressive.
const memoryBudget = 240 << 20
