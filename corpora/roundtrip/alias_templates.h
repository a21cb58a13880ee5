template <class A, class B = rgb<0, 0, 0>, int MS = (3 > 2 ? 40 : 80)>
using crowd = clash_sleeve<flutter<A, B>, rgb<255, 255, 255>, MS>;
template<typename... Layers> using heap = pile<Layers...>;
template <template <class> class W, auto V> using wrap = W<V>;
template <class T> struct not_ours { T x; };
template class not_ours<int>;
