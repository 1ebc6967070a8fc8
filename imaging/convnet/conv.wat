;; The convolution of one layer, four samples at a time, for browsers; written for this program.
;; It works on the memory of the Go program, whose slices it reads and writes: nothing is copied.
;;
;; A lane sums in the same order as correlateGo in conv.go, product and sum each rounded: none of
;; the relaxed instructions, which may round once and give other readings on another processor.
;; What is fast here is four lanes, and sums that stay in registers over all the input planes.
;; An add with one operand adds it to what stands before it: (add s m (add n)) is s + (m + n).
;;
;; conv.wasm is this file assembled. After a change, in pwa:
;;
;;   npx wat2wasm ../imaging/convnet/conv.wat -o ../imaging/convnet/conv.wasm

(module
  (import "go" "mem" (memory 1))

  ;; Makes all rows of all output planes of the simdJob of conv_js.go at $job, two planes at a
  ;; time: each loaded sample is used twice. An odd last plane is paired with itself. It goes row
  ;; by row, so that the samples of a large map are still near at hand for the next planes.
  (func (export "correlate") (param $job i32)
    (local $o0 i32) (local $o1 i32) ;; the output planes
    (local $i i32)                  ;; the row
    (loop $rows
      (local.set $o0 (i32.const 0))
      (loop $planes
        (local.set $o1 (i32.add (local.get $o0) (i32.const 1)))
        (if (i32.eq (local.get $o1) (i32.load offset=32 (local.get $job)))
          (then (local.set $o1 (local.get $o0))))
        (call $pair
          (local.get $job)
          (call $row (local.get $job) (local.get $o0) (local.get $i))
          (call $row (local.get $job) (local.get $o1) (local.get $i))
          (i32.add (i32.load offset=8 (local.get $job)) (i32.mul (local.get $i) (i32.load offset=56 (local.get $job))))
          (i32.add (i32.load offset=16 (local.get $job)) (i32.mul (local.get $o0) (i32.load offset=64 (local.get $job))))
          (i32.add (i32.load offset=16 (local.get $job)) (i32.mul (local.get $o1) (i32.load offset=64 (local.get $job))))
          (call $base (local.get $job) (local.get $o0) (local.get $i))
          (call $base (local.get $job) (local.get $o1) (local.get $i)))
        (local.set $o0 (i32.add (local.get $o0) (i32.const 2)))
        (br_if $planes (i32.lt_u (local.get $o0) (i32.load offset=32 (local.get $job)))))
      (local.set $i (i32.add (local.get $i) (i32.const 1)))
      (br_if $rows (i32.lt_u (local.get $i) (i32.load offset=36 (local.get $job))))))

  ;; Gives the address of row $i of output plane $o.
  (func $row (param $job i32) (param $o i32) (param $i i32) (result i32)
    (i32.add (i32.load (local.get $job)) (i32.mul (i32.load offset=40 (local.get $job))
      (i32.add (i32.mul (local.get $o) (i32.load offset=36 (local.get $job))) (local.get $i)))))

  ;; Gives where its sums start.
  (func $base (param $job i32) (param $o i32) (param $i i32) (result v128)
    (v128.load32_splat (i32.add (i32.load offset=24 (local.get $job)) (i32.add
      (i32.mul (local.get $o) (i32.load offset=68 (local.get $job)))
      (i32.mul (local.get $i) (i32.load offset=72 (local.get $job)))))))

  ;; Makes one row in two output planes.
  (func $pair
    (param $job i32)
    (param $r0 i32) (param $r1 i32)         ;; the rows to make
    (param $src i32)                        ;; padded samples, from the first row on that counts
    (param $w0 i32) (param $w1 i32)         ;; the weights of both planes
    (param $base0 v128) (param $base1 v128) ;; where the sums start
    (local $wide i32) (local $plane i32)    ;; bytes from a padded row to the next, from a plane to the next
    (local $kPhi i32) (local $kRho i32)     ;; rows of the kernel; weights of one: 3 or 5
    (local $last i32)                       ;; bytes from a row's start to its last four samples
    (local $at i32)                         ;; bytes from a row's start to the four samples being made
    (local $in i32) (local $left i32)       ;; input planes, and rows of the kernel, still to do
    (local $p i32) (local $s i32)           ;; the samples in the input plane, and under the row of the kernel
    (local $a i32) (local $b i32)           ;; the weights of that row
    (local $sum0 v128) (local $sum1 v128)
    (local $part0 v128) (local $part1 v128) ;; of an input plane
    (local $v v128) (local $w v128) (local $x v128) (local $y v128) (local $z v128) ;; samples
    (local.set $wide (i32.load offset=56 (local.get $job)))
    (local.set $plane (i32.load offset=60 (local.get $job)))
    (local.set $kPhi (i32.load offset=48 (local.get $job)))
    (local.set $kRho (i32.load offset=52 (local.get $job)))
    (local.set $last (i32.sub (i32.load offset=40 (local.get $job)) (i32.const 16)))
    (loop $block
      (local.set $sum0 (local.get $base0))
      (local.set $sum1 (local.get $base1))
      (local.set $a (local.get $w0))
      (local.set $b (local.get $w1))
      (local.set $p (i32.add (local.get $src) (local.get $at)))
      (local.set $in (i32.load offset=44 (local.get $job)))
      (loop $planes
        ;; -0 is the sum of nothing: -0 + x is x, even where x is -0.
        (local.set $part0 (v128.const f32x4 -0 -0 -0 -0))
        (local.set $part1 (v128.const f32x4 -0 -0 -0 -0))
        (local.set $s (local.get $p))
        (local.set $left (local.get $kPhi))
        (if (i32.eq (local.get $kRho) (i32.const 3))
          (then ;; 1 × 3, 3 × 3: the rows' sums are added up, then to the sum so far
            (loop $threes
              (local.set $x (v128.load align=4 (local.get $s)))
              (local.set $y (v128.load offset=4 align=4 (local.get $s)))
              (local.set $z (v128.load offset=8 align=4 (local.get $s)))
              (local.set $part0 (f32x4.add (local.get $part0)
                (f32x4.mul (v128.load32_splat (local.get $a)) (local.get $x))
                (f32x4.add (f32x4.mul (v128.load32_splat offset=4 (local.get $a)) (local.get $y)))
                (f32x4.add (f32x4.mul (v128.load32_splat offset=8 (local.get $a)) (local.get $z)))))
              (local.set $part1 (f32x4.add (local.get $part1)
                (f32x4.mul (v128.load32_splat (local.get $b)) (local.get $x))
                (f32x4.add (f32x4.mul (v128.load32_splat offset=4 (local.get $b)) (local.get $y)))
                (f32x4.add (f32x4.mul (v128.load32_splat offset=8 (local.get $b)) (local.get $z)))))
              (local.set $s (i32.add (local.get $s) (local.get $wide)))
              (local.set $a (i32.add (local.get $a) (i32.const 12)))
              (local.set $b (i32.add (local.get $b) (i32.const 12)))
              (br_if $threes (local.tee $left (i32.sub (local.get $left) (i32.const 1))))))
          (else ;; 3 × 5: each row's sum is added to the sum so far
            (loop $fives
              (local.set $x (v128.load align=4 (local.get $s)))
              (local.set $y (v128.load offset=4 align=4 (local.get $s)))
              (local.set $z (v128.load offset=8 align=4 (local.get $s)))
              (local.set $v (v128.load offset=12 align=4 (local.get $s)))
              (local.set $w (v128.load offset=16 align=4 (local.get $s)))
              (local.set $sum0 (f32x4.add (local.get $sum0)
                (f32x4.mul (v128.load32_splat (local.get $a)) (local.get $x))
                (f32x4.add (f32x4.mul (v128.load32_splat offset=4 (local.get $a)) (local.get $y)))
                (f32x4.add (f32x4.mul (v128.load32_splat offset=8 (local.get $a)) (local.get $z)))
                (f32x4.add (f32x4.mul (v128.load32_splat offset=12 (local.get $a)) (local.get $v)))
                (f32x4.add (f32x4.mul (v128.load32_splat offset=16 (local.get $a)) (local.get $w)))))
              (local.set $sum1 (f32x4.add (local.get $sum1)
                (f32x4.mul (v128.load32_splat (local.get $b)) (local.get $x))
                (f32x4.add (f32x4.mul (v128.load32_splat offset=4 (local.get $b)) (local.get $y)))
                (f32x4.add (f32x4.mul (v128.load32_splat offset=8 (local.get $b)) (local.get $z)))
                (f32x4.add (f32x4.mul (v128.load32_splat offset=12 (local.get $b)) (local.get $v)))
                (f32x4.add (f32x4.mul (v128.load32_splat offset=16 (local.get $b)) (local.get $w)))))
              (local.set $s (i32.add (local.get $s) (local.get $wide)))
              (local.set $a (i32.add (local.get $a) (i32.const 20)))
              (local.set $b (i32.add (local.get $b) (i32.const 20)))
              (br_if $fives (local.tee $left (i32.sub (local.get $left) (i32.const 1)))))))
        (local.set $sum0 (f32x4.add (local.get $sum0) (local.get $part0)))
        (local.set $sum1 (f32x4.add (local.get $sum1) (local.get $part1)))
        (local.set $p (i32.add (local.get $p) (local.get $plane)))
        (br_if $planes (local.tee $in (i32.sub (local.get $in) (i32.const 1)))))
      ;; As "if v < floor { v = floor }" has it also for NaN and -0.
      (v128.store align=4 (i32.add (local.get $r0) (local.get $at))
        (f32x4.pmax (local.get $sum0) (v128.load32_splat offset=76 (local.get $job))))
      (v128.store align=4 (i32.add (local.get $r1) (local.get $at))
        (f32x4.pmax (local.get $sum1) (v128.load32_splat offset=76 (local.get $job))))
      ;; On by four; the last block ends with the row and may make some of its samples again.
      (if (i32.lt_u (local.get $at) (local.get $last))
        (then
          (local.set $at (i32.add (local.get $at) (i32.const 16)))
          (if (i32.gt_u (local.get $at) (local.get $last))
            (then (local.set $at (local.get $last))))
          (br $block))))))
