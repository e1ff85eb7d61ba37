//! Eight 32-bit numbers at a time: in vector registers where the machine has them (chosen when the program runs), else as an array.

/// Operations on eight numbers.
pub(super) trait Lanes: Copy {
    /// Eight numbers.
    type F: Copy;
    fn load(self, from: &[f32; 8]) -> Self::F;
    fn store(self, a: Self::F) -> [f32; 8];
    fn splat(self, x: f32) -> Self::F;
    fn add(self, a: Self::F, b: Self::F) -> Self::F;
    fn sub(self, a: Self::F, b: Self::F) -> Self::F;
    fn mul(self, a: Self::F, b: Self::F) -> Self::F;
    fn div(self, a: Self::F, b: Self::F) -> Self::F;
    fn min(self, a: Self::F, b: Self::F) -> Self::F;
    fn max(self, a: Self::F, b: Self::F) -> Self::F;
    fn sqrt(self, a: Self::F) -> Self::F;
    /// a b + c.
    fn fma(self, a: Self::F, b: Self::F, c: Self::F) -> Self::F;
    /// Where a < b, x, else y.
    fn pick(self, a: Self::F, b: Self::F, x: Self::F, y: Self::F) -> Self::F;
    /// Bit i set where a <= b in lane i.
    fn at_most(self, a: Self::F, b: Self::F) -> u32;
    /// Bit i set where a <= b in lane i, and among these lanes one with the least a (to a millionth).
    fn least(self, a: Self::F, b: Self::F) -> (u32, usize);
    /// The numbers and words of the lanes whose bit is set, moved to the front.
    fn sift(self, a: Self::F, b: &[u32; 8], lanes: u32) -> ([f32; 8], [u32; 8]);
    /// Runs work with the machine's vectors switched on.
    fn run<W: Work>(self, work: W) -> W::Output;

    #[inline(always)]
    fn dot(self, a: [Self::F; 3], b: [Self::F; 3]) -> Self::F {
        self.fma(a[2], b[2], self.fma(a[1], b[1], self.mul(a[0], b[0])))
    }

    #[inline(always)]
    fn minus(self, a: [Self::F; 3], b: [Self::F; 3]) -> [Self::F; 3] {
        [self.sub(a[0], b[0]), self.sub(a[1], b[1]), self.sub(a[2], b[2])]
    }

    #[inline(always)]
    fn cross(self, a: [Self::F; 3], b: [Self::F; 3]) -> [Self::F; 3] {
        let part = |i: usize, j: usize| self.sub(self.mul(a[i], b[j]), self.mul(a[j], b[i]));
        [part(1, 2), part(2, 0), part(0, 1)]
    }

    #[inline(always)]
    fn load3(self, from: &[[f32; 8]; 3]) -> [Self::F; 3] {
        [self.load(&from[0]), self.load(&from[1]), self.load(&from[2])]
    }

    #[inline(always)]
    fn splat3(self, x: [f32; 3]) -> [Self::F; 3] {
        x.map(|x| self.splat(x))
    }

    #[inline(always)]
    fn abs(self, a: Self::F) -> Self::F {
        self.max(a, self.sub(self.splat(0.0), a))
    }
}

/// Something to do eight at a time.
pub(super) trait Work {
    type Output;
    fn with<L: Lanes>(self, lanes: L) -> Self::Output;
}

/// How the machine does it.
#[derive(Debug, Clone, Copy)]
pub(super) enum Machine {
    #[cfg(target_arch = "x86_64")]
    Vectors(simd::x86::V3),
    Plain,
}

impl Machine {
    pub(super) fn here() -> Self {
        #[cfg(target_arch = "x86_64")]
        if let Some(v) = simd::x86::V3::try_new() {
            return Self::Vectors(v);
        }
        Self::Plain
    }

    pub(super) fn run<W: Work>(self, work: W) -> W::Output {
        match self {
            #[cfg(target_arch = "x86_64")]
            Self::Vectors(v) => v.run(work),
            Self::Plain => Plain.run(work),
        }
    }
}

/// Without vector registers.
#[derive(Debug, Clone, Copy)]
pub(super) struct Plain;

impl Lanes for Plain {
    type F = [f32; 8];
    fn load(self, from: &[f32; 8]) -> [f32; 8] {
        *from
    }
    fn store(self, a: [f32; 8]) -> [f32; 8] {
        a
    }
    fn splat(self, x: f32) -> [f32; 8] {
        [x; 8]
    }
    fn add(self, a: [f32; 8], b: [f32; 8]) -> [f32; 8] {
        std::array::from_fn(|i| a[i] + b[i])
    }
    fn sub(self, a: [f32; 8], b: [f32; 8]) -> [f32; 8] {
        std::array::from_fn(|i| a[i] - b[i])
    }
    fn mul(self, a: [f32; 8], b: [f32; 8]) -> [f32; 8] {
        std::array::from_fn(|i| a[i] * b[i])
    }
    fn div(self, a: [f32; 8], b: [f32; 8]) -> [f32; 8] {
        std::array::from_fn(|i| a[i] / b[i])
    }
    fn min(self, a: [f32; 8], b: [f32; 8]) -> [f32; 8] {
        std::array::from_fn(|i| if a[i] < b[i] { a[i] } else { b[i] })
    }
    fn max(self, a: [f32; 8], b: [f32; 8]) -> [f32; 8] {
        std::array::from_fn(|i| if a[i] > b[i] { a[i] } else { b[i] })
    }
    fn sqrt(self, a: [f32; 8]) -> [f32; 8] {
        a.map(f32::sqrt)
    }
    fn fma(self, a: [f32; 8], b: [f32; 8], c: [f32; 8]) -> [f32; 8] {
        std::array::from_fn(|i| a[i] * b[i] + c[i])
    }
    fn pick(self, a: [f32; 8], b: [f32; 8], x: [f32; 8], y: [f32; 8]) -> [f32; 8] {
        std::array::from_fn(|i| if a[i] < b[i] { x[i] } else { y[i] })
    }
    fn at_most(self, a: [f32; 8], b: [f32; 8]) -> u32 {
        (0..8).fold(0, |bits, i| bits | u32::from(a[i] <= b[i]) << i)
    }
    fn least(self, a: [f32; 8], b: [f32; 8]) -> (u32, usize) {
        let hit = self.at_most(a, b);
        let least = (0..8).filter(|i| hit >> i & 1 == 1).min_by(|i, j| a[*i].total_cmp(&a[*j]));
        (hit, least.unwrap_or(0))
    }
    fn sift(self, a: [f32; 8], b: &[u32; 8], lanes: u32) -> ([f32; 8], [u32; 8]) {
        let (mut front, mut with) = ([0.0; 8], [0; 8]);
        for (to, from) in (0..8).filter(|i| lanes >> i & 1 == 1).enumerate() {
            (front[to], with[to]) = (a[from], b[from]);
        }
        (front, with)
    }
    fn run<W: Work>(self, work: W) -> W::Output {
        work.with(self)
    }
}

#[cfg(target_arch = "x86_64")]
mod vectors {
    use super::{Lanes, Work};
    use simd::x86::V3;
    use simd::{NullaryFnOnce, Simd, cast, f32x8};
    use std::arch::x86_64::__m256;

    /// For each set of lanes the lanes that are in it, in order, a byte each.
    static FRONT: [u64; 256] = {
        let mut all = [0; 256];
        let mut set = 0;
        while set < 256 {
            let (mut lane, mut to) = (0, 0);
            while lane < 8 {
                if set >> lane & 1 == 1 {
                    all[set] |= lane << (8 * to);
                    to += 1;
                }
                lane += 1;
            }
            set += 1;
        }
        all
    };

    struct Run<W> {
        work: W,
        lanes: V3,
    }

    impl<W: Work> NullaryFnOnce for Run<W> {
        type Output = W::Output;
        #[inline(always)]
        fn call(self) -> W::Output {
            self.work.with(self.lanes)
        }
    }

    impl Lanes for V3 {
        type F = f32x8;
        #[inline(always)]
        fn load(self, from: &[f32; 8]) -> f32x8 {
            cast(*from)
        }
        #[inline(always)]
        fn store(self, a: f32x8) -> [f32; 8] {
            cast(a)
        }
        #[inline(always)]
        fn splat(self, x: f32) -> f32x8 {
            self.splat_f32s(x)
        }
        #[inline(always)]
        fn add(self, a: f32x8, b: f32x8) -> f32x8 {
            self.add_f32s(a, b)
        }
        #[inline(always)]
        fn sub(self, a: f32x8, b: f32x8) -> f32x8 {
            self.sub_f32s(a, b)
        }
        #[inline(always)]
        fn mul(self, a: f32x8, b: f32x8) -> f32x8 {
            self.mul_f32s(a, b)
        }
        #[inline(always)]
        fn div(self, a: f32x8, b: f32x8) -> f32x8 {
            self.div_f32s(a, b)
        }
        #[inline(always)]
        fn min(self, a: f32x8, b: f32x8) -> f32x8 {
            self.min_f32s(a, b)
        }
        #[inline(always)]
        fn max(self, a: f32x8, b: f32x8) -> f32x8 {
            self.max_f32s(a, b)
        }
        #[inline(always)]
        fn sqrt(self, a: f32x8) -> f32x8 {
            self.sqrt_f32s(a)
        }
        #[inline(always)]
        fn fma(self, a: f32x8, b: f32x8, c: f32x8) -> f32x8 {
            self.mul_add_f32s(a, b, c)
        }
        #[inline(always)]
        fn pick(self, a: f32x8, b: f32x8, x: f32x8, y: f32x8) -> f32x8 {
            self.select_f32s(self.less_than_f32s(a, b), x, y)
        }
        #[inline(always)]
        fn at_most(self, a: f32x8, b: f32x8) -> u32 {
            let signs =
                self.select_f32s(self.less_than_or_equal_f32s(a, b), self.splat_f32s(-1.0), self.splat_f32s(0.0));
            self.avx._mm256_movemask_ps(cast::<f32x8, __m256>(signs)) as u32
        }
        #[inline(always)]
        fn least(self, a: f32x8, b: f32x8) -> (u32, usize) {
            let within = self.less_than_or_equal_f32s(a, b);
            let hit = self.avx._mm256_movemask_ps(cast::<_, __m256>(within)) as u32;
            let some = self.select_f32s(within, a, self.splat_f32s(f32::MAX));
            // The number of the lane in place of the last three bits.
            let numbered =
                self.or_u32s(self.and_u32s(cast(some), self.splat_u32s(!7)), cast([0u32, 1, 2, 3, 4, 5, 6, 7]));
            (hit, (self.reduce_min_f32s(cast(numbered)).to_bits() & 7) as usize)
        }
        #[inline(always)]
        fn sift(self, a: f32x8, b: &[u32; 8], lanes: u32) -> ([f32; 8], [u32; 8]) {
            let bytes = self.sse2._mm_set_epi64x(0, FRONT[(lanes & 255) as usize] as i64);
            let order = self.avx2._mm256_cvtepu8_epi32(bytes);
            let front = self.avx2._mm256_permutevar8x32_ps(cast(a), order);
            let with = self.avx2._mm256_permutevar8x32_epi32(cast(*b), order);
            (cast(front), cast(with))
        }
        #[inline(always)]
        fn run<W: Work>(self, work: W) -> W::Output {
            self.vectorize(Run { work, lanes: self })
        }
    }
}
