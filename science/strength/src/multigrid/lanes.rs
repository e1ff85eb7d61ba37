//! Several numbers at once, in the widest vectors the machine has.

use simd::Simd;

/// A number type whose vectors the sweeps use. Sealed by its place.
pub trait Lanes: Sized + Copy {
    /// A vector on machine kind `S`.
    type Vector<S: Simd>: Copy;

    /// Numbers in a vector.
    fn count<S: Simd>() -> usize;
    /// `value` in every lane.
    fn splat<S: Simd>(simd: S, value: Self) -> Self::Vector<S>;
    /// The first numbers of `from`, which holds at least [`Self::count`].
    fn load<S: Simd>(from: &[Self]) -> Self::Vector<S>;
    /// All of `from`, which holds at most [`Self::count`], and zeros.
    fn load_few<S: Simd>(simd: S, from: &[Self]) -> Self::Vector<S>;
    /// Over all of `to`, which holds at most [`Self::count`].
    fn store_few<S: Simd>(simd: S, value: Self::Vector<S>, to: &mut [Self]);
    /// Over the first numbers of `to`.
    fn store<S: Simd>(value: Self::Vector<S>, to: &mut [Self]);
    /// a + b.
    fn plus<S: Simd>(simd: S, a: Self::Vector<S>, b: Self::Vector<S>) -> Self::Vector<S>;
    /// a - b.
    fn minus<S: Simd>(simd: S, a: Self::Vector<S>, b: Self::Vector<S>) -> Self::Vector<S>;
    /// a b.
    fn times<S: Simd>(simd: S, a: Self::Vector<S>, b: Self::Vector<S>) -> Self::Vector<S>;
    /// Sum of all lanes.
    fn sum<S: Simd>(simd: S, a: Self::Vector<S>) -> Self;
    /// a b + c, in one rounding where the machine does so at no cost.
    fn times_plus<S: Simd>(simd: S, a: Self::Vector<S>, b: Self::Vector<S>, c: Self::Vector<S>) -> Self::Vector<S>;
}

macro_rules! lanes {
    ($number:ty, $vector:ident, $count:ident, $splat:ident, $slice:ident, $slice_mut:ident, $load_few:ident, $store_few:ident, $add:ident, $sub:ident, $mul:ident, $mul_add:ident, $sum:ident) => {
        impl Lanes for $number {
            type Vector<S: Simd> = S::$vector;

            #[inline(always)]
            fn count<S: Simd>() -> usize {
                S::$count
            }
            #[inline(always)]
            fn splat<S: Simd>(simd: S, value: Self) -> S::$vector {
                simd.$splat(value)
            }
            #[inline(always)]
            fn load<S: Simd>(from: &[Self]) -> S::$vector {
                S::$slice(from).0[0]
            }
            #[inline(always)]
            fn load_few<S: Simd>(simd: S, from: &[Self]) -> S::$vector {
                simd.$load_few(from)
            }
            #[inline(always)]
            fn store_few<S: Simd>(simd: S, value: S::$vector, to: &mut [Self]) {
                simd.$store_few(to, value);
            }
            #[inline(always)]
            fn store<S: Simd>(value: S::$vector, to: &mut [Self]) {
                S::$slice_mut(to).0[0] = value;
            }
            #[inline(always)]
            fn plus<S: Simd>(simd: S, a: S::$vector, b: S::$vector) -> S::$vector {
                simd.$add(a, b)
            }
            #[inline(always)]
            fn minus<S: Simd>(simd: S, a: S::$vector, b: S::$vector) -> S::$vector {
                simd.$sub(a, b)
            }
            #[inline(always)]
            fn times<S: Simd>(simd: S, a: S::$vector, b: S::$vector) -> S::$vector {
                simd.$mul(a, b)
            }
            #[inline(always)]
            fn sum<S: Simd>(simd: S, a: S::$vector) -> $number {
                simd.$sum(a)
            }
            #[inline(always)]
            fn times_plus<S: Simd>(simd: S, a: S::$vector, b: S::$vector, c: S::$vector) -> S::$vector {
                simd.$mul_add(a, b, c)
            }
        }
    };
}

lanes!(
    f32,
    f32s,
    F32_LANES,
    splat_f32s,
    as_simd_f32s,
    as_mut_simd_f32s,
    partial_load_f32s,
    partial_store_f32s,
    add_f32s,
    sub_f32s,
    mul_f32s,
    mul_add_e_f32s,
    reduce_sum_f32s
);
lanes!(
    f64,
    f64s,
    F64_LANES,
    splat_f64s,
    as_simd_f64s,
    as_mut_simd_f64s,
    partial_load_f64s,
    partial_store_f64s,
    add_f64s,
    sub_f64s,
    mul_f64s,
    mul_add_e_f64s,
    reduce_sum_f64s
);
