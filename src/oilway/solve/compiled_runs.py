"""The loop over the steps of many runs as machine code: no Python between one step and the next.

Lanes go side by side through the tape of one step, each with a set, a time and a step of its own; a lane whose
set has got through takes the next one.  Nothing but bookkeeping is written here: the step, its judgement, and the
state at a moment within it are tapes.  :mod:`oilway.solve.interpreted_runs` does the same for all sets at once.
"""

from __future__ import annotations

import ctypes

import numpy as np

from oilway.model.system import Vector
from oilway.solve.compiled import WIDE, assembly
from oilway.solve.machine_code import engine
from oilway.solve.side_by_side import bits
from oilway.solve.stepping import CLOSE, MOST, MOST_STEPS, SHORTEST, Counts, Stepping

# Each variable of the loop has its place in memory; LLVM itself turns them into registers.
COPY = """
define internal void @copy(ptr %to, i64 %far, ptr %from, i64 %wide, i64 %count) {
begin:
  br label %turn
turn:
  %k = phi i64 [ 0, %begin ], [ %next, %turn ]
  %a = mul i64 %k, %wide
  %source = getelementptr double, ptr %from, i64 %a
  %b = mul i64 %k, %far
  %target = getelementptr double, ptr %to, i64 %b
  %value = load double, ptr %source
  store double %value, ptr %target
  %next = add i64 %k, 1
  %more = icmp slt i64 %next, %count
  br i1 %more, label %turn, label %done
done:
  ret void
}
"""
# A lane begins the set %n: what is fixed goes to %kept, where it begins to %moved.
TAKE = """
define internal void @take(i64 %lane, i64 %n, i64 %sets, ptr %all, ptr %y, ptr %kept, ptr %moved) {
  %a = getelementptr double, ptr %all, i64 %n
  %b = getelementptr double, ptr %kept, i64 %lane
  call void @copy(ptr %b, i64 WIDE, ptr %a, i64 %sets, i64 KEPT)
  %c = getelementptr double, ptr %y, i64 %n
  %d = getelementptr double, ptr %moved, i64 %lane
  call void @copy(ptr %d, i64 WIDE, ptr %c, i64 %sets, i64 SIZE)
  ret void
}
"""
RUN = """
define void @run(i64 %sets, ptr %all, ptr %y, ptr %first, ptr %taken, ptr %moments, i64 %count,
    ptr %out, i64 %far) {
begin:
  %kept = alloca [KEPT_WIDE x double], align 64
  %here = alloca [SIZE_WIDE x double], align 64
  %moved = alloca [SIZE_WIDE x double], align 64
  %low = alloca [SIZE_WIDE x double], align 64
  %middle = alloca [SIZE_WIDE x double], align 64
  %high = alloca [SIZE_WIDE x double], align 64
  %shown = alloca [SIZE_WIDE x double], align 64
  %clock = alloca [CLOCK_WIDE x double], align 64
  %at = alloca [WIDE x double], align 64
  %h = alloca [WIDE x double], align 64
  %growth = alloca [WIDE x double], align 64
  %share = alloca [WIDE x double], align 64
  %set = alloca [WIDE x i64]
  %steps = alloca [WIDE x i64]
  %written = alloca [WIDE x i64]
  %upcoming = alloca i64
  %busy = alloca i64
  store i64 0, ptr %upcoming
  store i64 0, ptr %busy
  %final = sub i64 %count, 1
  %final.place = getelementptr double, ptr %moments, i64 %final
  %end = load double, ptr %final.place
  br label %fill

fill:  ; every lane begins as one whose set has got through; without a set it goes along with the first
  %f = phi i64 [ 0, %begin ], [ %f.next, %fill ]
  %f.some = icmp slt i64 %f, %sets
  %f.set = select i1 %f.some, i64 %f, i64 0
  call void @take(i64 %f, i64 %f.set, i64 %sets, ptr %all, ptr %y, ptr %kept, ptr %here)
  %f.first = getelementptr double, ptr %first, i64 %f.set
  %f.wish = load double, ptr %f.first
  %f.reach = fmul double %f.wish, CLOSE
  %f.long = fcmp oge double %f.reach, %end
  %f.h = select i1 %f.long, double %end, double %f.wish
  %f.h.place = getelementptr double, ptr %h, i64 %f
  store double %f.h, ptr %f.h.place
  %f.at = getelementptr double, ptr %at, i64 %f
  store double 0.0, ptr %f.at
  %f.growth = getelementptr double, ptr %growth, i64 %f
  store double GROWTH, ptr %f.growth
  %f.share = getelementptr double, ptr %share, i64 %f
  store double 0.0, ptr %f.share
  %f.steps = getelementptr i64, ptr %steps, i64 %f
  store i64 0, ptr %f.steps
  %f.written = getelementptr i64, ptr %written, i64 %f
  store i64 0, ptr %f.written
  %f.mark = select i1 %f.some, i64 %f, i64 -1
  %f.set.place = getelementptr i64, ptr %set, i64 %f
  store i64 %f.mark, ptr %f.set.place
  %f.one = zext i1 %f.some to i64
  %f.busy = load i64, ptr %busy
  %f.busier = add i64 %f.busy, %f.one
  store i64 %f.busier, ptr %busy
  store i64 %f.busier, ptr %upcoming
  %f.next = add i64 %f, 1
  %f.more = icmp slt i64 %f.next, WIDE
  br i1 %f.more, label %fill, label %step

step:
  call void @tape(i64 WIDE, ptr %kept, ptr %at, ptr %h, ptr %growth, ptr %here, ptr %moved, ptr %clock,
    ptr %low, ptr %middle, ptr %high)
  br label %lane

lane:
  %l = phi i64 [ 0, %step ], [ %l.next, %lane.done ]
  %set.place = getelementptr i64, ptr %set, i64 %l
  %s = load i64, ptr %set.place
  %idle = icmp slt i64 %s, 0
  br i1 %idle, label %lane.done, label %judge

judge:
  %steps.place = getelementptr i64, ptr %steps, i64 %l
  %steps.before = load i64, ptr %steps.place
  %steps.now = add i64 %steps.before, 1
  store i64 %steps.now, ptr %steps.place
  %at.place = getelementptr double, ptr %at, i64 %l
  %from = load double, ptr %at.place
  %h.place = getelementptr double, ptr %h, i64 %l
  %long = load double, ptr %h.place
  %accepted.place = getelementptr double, ptr %clock, i64 %l
  %accepted = load double, ptr %accepted.place
  %yes = fcmp ogt double %accepted, 0.0
  %then.place = getelementptr double, ptr %accepted.place, i64 WIDE
  %then = load double, ptr %then.place
  %wish.place = getelementptr double, ptr %then.place, i64 WIDE
  %wish = load double, ptr %wish.place
  %growth.next = getelementptr double, ptr %wish.place, i64 WIDE
  %growth.now = load double, ptr %growth.next
  %growth.place = getelementptr double, ptr %growth, i64 %l
  store double %growth.now, ptr %growth.place
  %rest = fsub double %end, %from
  %closes = fcmp oge double %long, %rest
  %arrives = and i1 %yes, %closes
  %after = select i1 %arrives, double %end, double %then
  br label %due

due:  ; the moments of output that this step went over
  %written.place = getelementptr i64, ptr %written, i64 %l
  %w = load i64, ptr %written.place
  %w.some = icmp slt i64 %w, %count
  br i1 %w.some, label %look, label %onward

look:
  %moment.place = getelementptr double, ptr %moments, i64 %w
  %moment = load double, ptr %moment.place
  %passed = fcmp ole double %moment, %after
  br i1 %passed, label %write, label %onward

write:
  %into = fsub double %moment, %from
  %part = fdiv double %into, %long
  %share.place = getelementptr double, ptr %share, i64 %l
  store double %part, ptr %share.place
  call void @between(i64 WIDE, ptr %share, ptr %here, ptr %moved, ptr %low, ptr %middle, ptr %high, ptr %shown)
  %shown.place = getelementptr double, ptr %shown, i64 %l
  %set.far = mul i64 %s, %far
  %row.far = mul i64 %w, SIZE
  %out.far = add i64 %set.far, %row.far
  %row = getelementptr double, ptr %out, i64 %out.far
  call void @copy(ptr %row, i64 1, ptr %shown.place, i64 WIDE, i64 SIZE)
  %w.next = add i64 %w, 1
  store i64 %w.next, ptr %written.place
  br label %due

onward:
  store double %after, ptr %at.place
  %over = fcmp oge double %after, %end
  %moves = fcmp ogt double %wish, SHORTEST
  %stalls = xor i1 %moves, true
  %many = icmp sge i64 %steps.now, MOST_STEPS
  %gives.up = or i1 %stalls, %many
  %ready = or i1 %over, %gives.up
  br i1 %ready, label %leave, label %clip

leave:
  %moved.place = getelementptr double, ptr %moved, i64 %l
  %y.place = getelementptr double, ptr %y, i64 %s
  call void @copy(ptr %y.place, i64 %sets, ptr %moved.place, i64 WIDE, i64 SIZE)
  %last.place = getelementptr double, ptr %first, i64 %s
  store double %wish, ptr %last.place
  %taken.place = getelementptr i64, ptr %taken, i64 %s
  %taken.before = load i64, ptr %taken.place
  %taken.now = add i64 %taken.before, %steps.now
  store i64 %taken.now, ptr %taken.place
  %n = load i64, ptr %upcoming
  %n.some = icmp slt i64 %n, %sets
  br i1 %n.some, label %renew, label %stop

stop:
  store i64 -1, ptr %set.place
  %busy.before = load i64, ptr %busy
  %busy.now = sub i64 %busy.before, 1
  store i64 %busy.now, ptr %busy
  br label %lane.done

renew:
  %n.next = add i64 %n, 1
  store i64 %n.next, ptr %upcoming
  call void @take(i64 %l, i64 %n, i64 %sets, ptr %all, ptr %y, ptr %kept, ptr %moved)
  store i64 %n, ptr %set.place
  store i64 0, ptr %steps.place
  store i64 0, ptr %written.place
  store double 0.0, ptr %at.place
  store double GROWTH, ptr %growth.place
  %n.first = getelementptr double, ptr %first, i64 %n
  %n.wish = load double, ptr %n.first
  br label %clip

clip:  ; the last step ends on the knot itself, and none is left over that is all but nothing
  %next.h = phi double [ %wish, %onward ], [ %n.wish, %renew ]
  %next.at = load double, ptr %at.place
  %left = fsub double %end, %next.at
  %reach = fmul double %next.h, CLOSE
  %ends = fcmp oge double %reach, %left
  %short = select i1 %ends, double %left, double %next.h
  store double %short, ptr %h.place
  br label %lane.done

lane.done:
  %l.next = add i64 %l, 1
  %l.more = icmp slt i64 %l.next, WIDE
  br i1 %l.more, label %lane, label %turn

turn:
  call void @copy(ptr %here, i64 1, ptr %moved, i64 1, i64 SIZE_WIDE)
  %busy.left = load i64, ptr %busy
  %on = icmp sgt i64 %busy.left, 0
  br i1 %on, label %step, label %done

done:
  ret void
}
"""


class Loop:
    """Stretches from knot to knot of many sets, compiled."""

    def __init__(self, stepping: Stepping) -> None:
        size, kept = stepping.size, stepping.step.inputs[0]
        numbers = {
            "KEPT_WIDE": kept * WIDE, "SIZE_WIDE": size * WIDE, "CLOCK_WIDE": 4 * WIDE, "KEPT": kept, "SIZE": size,
            "WIDE": WIDE, "MOST_STEPS": MOST_STEPS, "SHORTEST": bits(SHORTEST), "CLOSE": bits(CLOSE),
            "GROWTH": bits(MOST),
        }  # fmt: skip
        text = COPY + TAKE + RUN
        for name, value in numbers.items():
            text = text.replace(name, str(value))
        self._engine = engine(assembly({"tape": stepping.step, "between": stepping.between}, text))
        number, place = ctypes.c_int64, ctypes.c_void_p
        kinds = (number, place, place, place, place, place, number, place, number)
        # Called through ctypes, which lets other threads of Python run meanwhile.
        self._run = ctypes.CFUNCTYPE(None, *kinds)(self._engine.get_function_address("run"))

    def through(self, kept: Vector, y: Vector, h: Vector, moments: Vector, out: Vector, taken: Counts) -> None:
        """Run all sets to the last of the ``moments`` (t,), s after they begin.

        Taken and left behind in place: states ``y`` (k, sets), next steps ``h`` (sets,), steps made ``taken``
        (sets,) and what comes out at the moments, ``out`` (sets, t, k), SI; what a set that gives up does not
        reach stays as it is.
        """
        kept, moments = np.ascontiguousarray(kept), np.ascontiguousarray(moments)
        sets, far = out.shape[0], out.strides[0] // out.itemsize
        places = (a.ctypes.data for a in (kept, y, h, taken, moments))
        self._run(sets, *places, len(moments), out.ctypes.data, far)
