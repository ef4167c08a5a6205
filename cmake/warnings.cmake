# One interface target that every target of ours links.
add_library(qn_options INTERFACE)
target_compile_options(qn_options INTERFACE -Wall -Wextra -Wpedantic -Wshadow -Wconversion
                       -Wno-sign-conversion -Wnon-virtual-dtor -Wold-style-cast -Wuseless-cast)
if(CMAKE_CXX_COMPILER_ID MATCHES Clang)
  target_compile_options(qn_options INTERFACE -Wno-unknown-warning-option)
endif()
if(QN_WERROR)
  target_compile_options(qn_options INTERFACE -Werror)
endif()
# No fused multiply-adds of the compiler's own choosing: the same recording gives the same digits.
target_compile_options(qn_options INTERFACE -ffp-contract=off)
if(QN_SANITIZE)
  # GCC's flow analysis does not see through the code the sanitizers add (its manual says so).
  target_compile_options(qn_options INTERFACE -Wno-maybe-uninitialized)
  target_compile_options(qn_options INTERFACE -fsanitize=${QN_SANITIZE} -fno-omit-frame-pointer
                         -fno-sanitize-recover=all)
  target_link_options(qn_options INTERFACE -fsanitize=${QN_SANITIZE})
  # Asked at every access to a member, these are a third of the time to compile. A null pointer ends
  # the program under the address sanitizer anyway.
  target_compile_options(qn_options INTERFACE -fno-sanitize=null,alignment,vptr,object-size)
  # Programs of 40 to 110 MB: gold, which comes with the same package, links them in two thirds of the
  # time.
  include(CheckLinkerFlag)
  check_linker_flag(CXX -fuse-ld=gold QN_GOLD)
  if(QN_GOLD AND CMAKE_CXX_COMPILER_ID STREQUAL GNU)
    target_link_options(qn_options INTERFACE -fuse-ld=gold)
  endif()
endif()
